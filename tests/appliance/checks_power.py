"""Power that goes at any moment, with and without a read-only root."""

import random
import time
from pathlib import Path

from checks_health import read_only_by_choice
from checks_screen import is_live, keep
from image import Image
from machine import Machine, keeping_layer

# Written in the guest over and over, as the appliance saves: to a new file, to the disk, in place.
SAVER = """
import os, time
n = 0
while True:
    n += 1
    text = f"{n} " + "x" * 4000 + f" {n}"
    with open("/var/lib/midgrey/saved.new", "w") as file:
        file.write(text); file.flush(); os.fsync(file.fileno())
    os.rename("/var/lib/midgrey/saved.new", "/var/lib/midgrey/saved")
    folder = os.open("/var/lib/midgrey", os.O_RDONLY); os.fsync(folder); os.close(folder)
    time.sleep(0.05)
"""


def hard_cuts(image: Image, folder: Path, times: int, seed: int = 1) -> str:
    """Cut the power again and again at random moments: it boots every time, settings intact."""
    layer = keeping_layer(image, folder / "cuts.qcow2")
    moments = random.Random(seed)
    machine = Machine(image, folder / "cuts", disk=layer)
    settings = None
    saved = 0
    spans = []
    for number in range(times + 1):
        with machine:
            spans.append(machine.until_answering())
            now = machine.check("cat /etc/midgrey/environment; sha256sum /opt/midgrey/fingerprint")
            settings = settings or now
            assert now == settings, f"settings differ after cut {number}: {now}"
            text = machine.run("cat /var/lib/midgrey/saved 2>/dev/null").text
            if saved:
                head = text.partition(" ")[0]
                assert text.endswith(f" {head}"), f"half a file: {text[:40]!r}"
                assert int(head) >= saved, f"{saved} was saved, {head} is there"
            if number == times:
                machine.until("a live screen", lambda: is_live(machine.screen()), 180.0, 0.3)
                state = machine.check("systemctl is-active midgrey").strip()
                assert state == "active", state
                break
            machine.put("/run/saver.py", SAVER.encode())
            machine.check("setsid -f python3 /run/saver.py < /dev/null > /dev/null 2>&1")
            time.sleep(moments.uniform(0.5, 12.0))
            saved = int(machine.run("cut -d' ' -f1 /var/lib/midgrey/saved").text.strip() or 0)
    return f"{times} cuts, boots of {min(spans):.0f} to {max(spans):.0f} s, nothing saved was lost"


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
        machine.until("a live screen", lambda: is_live(machine.screen()), 240.0, 0.3)
    return f"{times} cuts during boot, then live"


def read_only_root(image: Image, folder: Path, cuts: int) -> str:
    """With a read-only root it works as usual, and what is written is gone with the power."""
    layer = keeping_layer(image, folder / "readonly.qcow2")
    machine = Machine(image, folder / "readonly", disk=layer, options="midgrey.readonly")
    for number in range(cuts + 1):
        with machine:
            machine.until_answering()
            root = machine.check("findmnt --noheadings --output FSTYPE /").strip()
            assert root == "overlay", root
            card = machine.check("findmnt --noheadings --output OPTIONS /media/card").strip()
            assert card.startswith("ro"), card
            assert machine.run("ls /root/written").status != 0, "a file outlived the power"
            machine.until("a live screen", lambda: is_live(machine.screen()), 180.0, 0.3)
            machine.check("echo x > /root/written; sync")
            if number == cuts:
                keep(machine, "readonly")
                read_only_by_choice(machine)
    return f"live on each of {cuts + 1} boots, nothing written to the disk"
