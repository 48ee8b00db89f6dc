"""Power that goes at any moment, with and without a read-only root."""

import io
import random
import time
from pathlib import Path

import av
from checks_health import read_only_by_choice
from checks_screen import keep, start_service, until_live
from image import Image
from machine import SCREEN, Machine, MachineError, keeping_layer

SAVED = "/var/lib/midgrey"
SAVE_KEY = "g"
SETTINGS = "cat /etc/midgrey/environment; readlink /opt/midgrey/current"


def hard_cuts(machine: Machine, times: int, seed: int = 1) -> str:
    """Cut the power while pictures are being saved: it boots every time, nothing saved is lost.

    Pictures are saved by the appliance's own key. One is done with when the next one is there: they
    are written one after the other, each to the card before the next begins.
    """
    moments = random.Random(seed)
    settings = machine.check(SETTINGS)
    start_service(machine)
    done: set[str] = set()
    spans = []
    for number in range(1, times + 1):
        done |= _saved_until(machine, moments.uniform(0.5, 12.0))
        machine.cut()
        machine.start()
        spans.append(machine.until_answering())
        now = machine.check(SETTINGS)
        assert now == settings, f"settings differ after cut {number}: {now}"
        there = set(_pictures(machine))
        assert done <= there, f"lost by cut {number}: {sorted(done - there)}"
        for name in sorted(there):
            _must_be_whole(machine, name)
        until_live(machine, 180.0)
    state = machine.check("systemctl is-active midgrey").strip()
    assert state == "active", state
    return (
        f"{times} cuts, boots of {min(spans):.0f} to {max(spans):.0f} s, "
        f"{len(done)} pictures saved and all there, whole"
    )


def _pictures(machine: Machine) -> list[str]:
    """Names of the saved pictures, oldest first."""
    return machine.check(f"cd {SAVED} && ls -tr -- *.png 2>/dev/null || true").split()


def _saved_until(machine: Machine, seconds: float) -> set[str]:
    """Press the key for so long after the first picture is done with; those that are by then."""
    before = set(_pictures(machine))
    end = None
    start = time.monotonic()
    while True:
        machine.key(SAVE_KEY)
        done = [name for name in _pictures(machine) if name not in before][:-1]
        if done and end is None:
            end = time.monotonic() + seconds
        if end is not None and time.monotonic() >= end:
            return set(done)
        if end is None and time.monotonic() - start > 60.0:
            raise MachineError(f"no two pictures saved by the key {SAVE_KEY} within 60 s")


def _must_be_whole(machine: Machine, name: str) -> None:
    """It decodes to its last row."""
    data = machine.get(f"{SAVED}/{name}")
    assert data.endswith(b"IEND\xaeB`\x82"), f"{name} is cut short: {len(data)} bytes"
    with av.open(io.BytesIO(data)) as file:
        picture = next(file.decode(video=0)).to_ndarray(format="rgb24")
    assert picture.shape == (*machine.size[::-1], 3), (name, picture.shape)


def cuts_while_booting(image: Image, folder: Path, times: int, seed: int = 2) -> str:
    """Cut the power while it boots, at any second of it: the next boot is a whole one."""
    layer = keeping_layer(image, folder / "boots.qcow2")
    moments = random.Random(seed)
    machine = Machine(image, folder / "boots", disk=layer)
    for _ in range(times):
        with machine:
            time.sleep(moments.uniform(1.0, 25.0))
    with machine:
        machine.until_answering()
        until_live(machine, 240.0)
    return f"{times} cuts during boot, then live"


def read_only_root(image: Image, folder: Path, cuts: int, size: tuple[int, int] = SCREEN) -> str:
    """With a read-only root it works as usual, and what is written does not reach the card."""
    layer = keeping_layer(image, folder / "readonly.qcow2")
    place, read_only = folder / "readonly", "midgrey.readonly"
    machine = Machine(image, place, disk=layer, options=read_only, size=size)
    for number in range(cuts + 1):
        with machine:
            machine.until_answering()
            root = machine.check("findmnt --noheadings --output FSTYPE /").strip()
            assert root == "overlay", root
            card = machine.check("findmnt --noheadings --output OPTIONS /media/card").strip()
            assert card.startswith("ro"), card
            assert machine.run("ls /root/written").status != 0, "a file outlived the power"
            until_live(machine, 180.0)
            machine.check(f"echo x > /root/written; echo x > {SAVED}/written; sync")
            assert machine.check("cat /root/written").strip() == "x"
            on_card = machine.run("test -e /media/card/root/written").status
            assert on_card != 0, "what was written is on the card"
            if number == cuts:
                keep(machine, "readonly")
                read_only_by_choice(machine)
    return f"live on each of {cuts + 1} boots, nothing written to the card"
