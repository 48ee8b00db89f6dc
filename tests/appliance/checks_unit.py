"""A unit without a screen and without a network, as its kit's preset says."""

from pathlib import Path

from fat import fat_image
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


def _status(machine: Machine) -> str:
    shown = machine.check("systemctl show -p StatusText --value midgrey.service")
    return shown.strip().partition(":")[0]
