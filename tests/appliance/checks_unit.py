"""A unit without a screen and without a network, as its kit's preset says."""

import json
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import checks_gpio
from checks_live import control
from checks_marking import LAST, journal_of
from fat import fat_image
from gpio_kit import Kit
from image import Image
from machine import Machine, MachineError, keeping_layer

PRESET = """\
title = "Checker of the kit"
feed = "v4l2:/dev/video10"
profile = "standard"
view = "target"
lock = true
lock_allows = ["spot"]
"""
SPOILT = PRESET.replace('"target"', '"nonesuch"')
# No connector has a screen; and the boot partition is mounted before anything of ours runs.
OPTIONS = "video=Virtual-1:d systemd.mount-extra=/dev/vdb:/boot/firmware:vfat:ro"
LAMP = (16, 20, 21)
"""Red, green, blue of a lamp of three colours."""
MARKS = PRESET.replace('["spot"]', '["spot", "mark"]')
HERE = Path(__file__).resolve().parent
BOARDED = """\
[Service]
ExecStart=
ExecStart=/opt/midgrey/current/bin/python /run/tests/boarded.py run $MIDGREY_FEED $MIDGREY_OPTIONS
"""
SAID = "journalctl -b -u midgrey.service -o cat --no-pager"


def preset_without_a_screen(built: Image, folder: Path) -> str:
    """With a preset on its FAT partition it measures; with a spoilt one as the last good says."""
    place = folder / "unit"
    place.mkdir(parents=True, exist_ok=True)
    disk, card = place / "boot.img", keeping_layer(built, place / "unit.qcow2")
    said = []
    # Laptops write marks of their own before a text, and lines that end in two signs.
    for text in (b"\xef\xbb\xbf" + PRESET.replace("\n", "\r\n").encode(), SPOILT.encode()):
        disk.write_bytes(fat_image("midgrey", {"kit.toml": text}))
        with Machine(built, place, disk=card, options=OPTIONS, drives=(disk,)) as machine:
            machine.until_answering()
            try:
                machine.until("a live picture", lambda: _status(machine) == "live", 300.0)
            except MachineError as fault:
                raise MachineError(f"{fault}\n{machine.check(SAID)[-2000:]}") from fault
            log = machine.check(SAID)
            assert "without a screen" in log, log
            kept = machine.check("cat /var/lib/midgrey/last-good-preset.toml")
            assert 'view = "target"' in kept, kept
            said.append("the last good one is used" in log)
            machine.check("sync")
    assert said == [False, True], said
    return "measures without a screen by its preset, and by the last good one when that is spoilt"


@contextmanager
def with_its_log(machine: Machine) -> Iterator[None]:
    """What fails in here says besides what the service said last: the board is gone after it."""
    try:
        yield
    except (AssertionError, MachineError) as fault:
        try:
            log = machine.check(SAID)[-6000:]
        except (MachineError, OSError) as other:
            log = f"not to be had: {other}"
        raise MachineError(f"{fault}\nThe service's log:\n{log}") from fault


def _status(machine: Machine) -> str:
    shown = machine.check("systemctl show -p StatusText --value midgrey.service")
    return shown.strip().partition(":")[0]


def lamp_and_button(built: Image, kit: Kit, folder: Path) -> str:
    """Locked by its preset, no screen, no network: the lamp is right, its button marks, and the
    report is made of the journal that lies on its card after the power went.
    """
    place = folder / "lamp"
    place.mkdir(parents=True, exist_ok=True)
    disk, card = place / "boot.img", keeping_layer(built, place / "lamp.qcow2")
    disk.write_bytes(fat_image("midgrey", {"kit.toml": MARKS.encode()}))
    with Machine(built, place, disk=card, options=OPTIONS, drives=(disk,)) as machine:
        machine.until_answering()
        checks_gpio.give_chip(machine, kit)
        _start_on_pins(machine)
        machine.until("a live picture", lambda: _status(machine) == "live", 300.0)
        colours = machine.python(
            "from firmware.controls.saying import COLOURS; "
            "answer = {each.name: list(lit) for each, lit in COLOURS.items()}"
        )
        live, _ = _lights(machine)
        machine.python("pins.press(4)")
        machine.until("a mark on the card", lambda: _marks(machine) == 1, 120.0)
        control(machine, "dv_timings_signal_mode=1")
        machine.until("no feed", lambda: _status(machine) != "live", 60.0)
        time.sleep(2.0)  # the lamp goes on from what it said
        lost, rises = _lights(machine)
        machine.cut()
        machine.start()
        machine.until_answering()
        file = journal_of(machine, place)
    dark, white = [False] * 3, colours["NO_FEED"]
    assert lost == sorted([dark, white]), lost
    assert 3 <= rises <= 7, f"{rises} flashes in six seconds without a feed"
    side = _side_marked(file)
    assert colours[side] in live, f"marked as {side}, and the lamp showed {live}"
    assert all(each in (dark, colours[side], colours["CLIPPING"]) for each in live), live
    page = place / "report.html"
    root = HERE.parent.parent
    journal = [sys.executable, "-m", "firmware", "journal"]
    named = ["--journal", str(file)]
    subprocess.run([*journal, *named, "--report", str(page)], check=True, cwd=root)
    said = subprocess.run(
        [*journal, "verify", *named], capture_output=True, text=True, check=True, cwd=root
    )
    assert page.stat().st_size > 10_000
    return (
        f"lamp says {side}, one mark by a button, its report {page.stat().st_size} bytes; "
        f"{said.stdout.strip()}"
    )


def _start_on_pins(machine: Machine) -> None:
    """The service on the simulated chip, with a lamp of three colours."""
    for name in ("pins.py", "boarded.py"):
        machine.put(f"/run/tests/{name}", (HERE / "guest" / name).read_bytes())
    shipped = (HERE.parent.parent / "hardware/pins.toml").read_text()
    for line in ("red = 16 ", "green = 20 ", "blue = 21 "):
        assert f"# {line}" in shipped, line
        shipped = shipped.replace(f"# {line}", line)
    machine.put("/etc/midgrey/pins.toml", shipped.encode())
    machine.check("mkdir -p /run/systemd/system/midgrey.service.d")
    machine.put("/run/systemd/system/midgrey.service.d/boarded.conf", BOARDED.encode())
    machine.python("import pins; pins.release_all()", 180.0)
    machine.check(
        "systemctl daemon-reload; systemctl reset-failed midgrey.service; "
        "systemctl start --no-block midgrey.service"
    )


def _lights(machine: Machine) -> tuple[list[list[bool]], int]:
    return machine.python(f"answer = pins.lights({LAMP}, 6.0)")


def _marks(machine: Machine) -> int:
    return int(str(machine.python(LAST)))


def _side_marked(file: Path) -> str:
    """What the mark says of the spot: the name of a saying."""
    with sqlite3.connect(file) as journal:
        (body,) = journal.execute("SELECT body FROM rows WHERE kind = 'mark'").fetchone()
    return str(json.loads(body)["answer"]["side"]).upper()
