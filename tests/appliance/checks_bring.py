"""A version that a person brings: on a stick into the running board, then from a phone."""

import time
from pathlib import Path

import stick
import versions
from checks_phone import CODE, INSTALL, free_port, in_network
from checks_unit import _status
from checks_update import (
    LIVE_S,
    current,
    give_time,
    lend_kernels,
    on_trial,
    runs,
    spare_kernels,
)
from fat import fat_image
from image import Image
from machine import Machine, MachineError, keeping_layer
from phone import Hand, phone

PRESET = f"""\
title = "Brought"
feed = "bench:size=320x180,rate=2,noise=0.5"
view = "expose"
page = "on"
page_updates = true
page_code = "{CODE}"
"""
OPTIONS = "systemd.mount-extra=/dev/vdb:/boot/firmware:vfat:ro"
TOLD = "cat /run/midgrey-update/said 2>/dev/null"
TOLD_S = 3000.0
"""A version's own check may take 2700 s (`firmware.update.checking`), and is last in line here."""
UPDATING = "journalctl -b -o short-monotonic -u 'midgrey*' | tail -60"


def brought(image: Image, folder: Path) -> str:
    """By a stick: taken, and tried at the next start. By a phone: taken, and tried at once."""
    place = folder / "brought"
    place.mkdir(parents=True, exist_ok=True)
    disk, card, port = place / "boot.img", keeping_layer(image, place / "card.qcow2"), free_port()
    disk.write_bytes(fat_image("midgrey", {"kit.toml": PRESET.encode()}))
    machine = Machine(image, place, disk=card, options=OPTIONS, drives=(disk,), has_usb=True)
    machine.forward = {port: 80}
    with machine:
        machine.until_answering()
        in_network(machine)
        _until_live(machine)
        machine.check(INSTALL, 600.0)
        give_time(machine)
        spare_kernels(machine)
        said = [_by_stick(machine, image, place)]
    with machine:
        machine.until_answering()
        in_network(machine)
        _until_live(machine)
        _until_proved(machine, versions.GOOD)
        lend_kernels(machine, versions.BETTER)
        with phone(port) as hand:
            said.append(_by_phone(machine, hand, _bundle(image, place, versions.BETTER)))
    return "; ".join(said)


def _bundle(image: Image, place: Path, number: str) -> Path:
    """A bundle of the image as a file of this machine."""
    kept = image.disk.parent / "root" / versions.FOLDER / f"{number}.update"
    (place / kept.name).write_bytes(kept.read_bytes())
    return place / kept.name


def _by_stick(machine: Machine, image: Image, place: Path) -> str:
    before, start = current(machine), time.monotonic()
    content = stick.make(place / "stick.raw", "midgrey", [_bundle(image, place, versions.GOOD)])
    stick.put_in(machine, content)
    told = _until_told(machine, "it is started next time")
    took_s = time.monotonic() - start
    now = current(machine)
    assert now.startswith(versions.GOOD), (now, told)
    # The picture was not cut off: it is the old one that still runs.
    assert runs(machine) == before, (runs(machine), before)
    machine.until("it closed", lambda: "midgrey_stick" not in machine.check("mount"), 60.0)
    stick.pull_out(machine)
    machine.until("it gone", lambda: machine.run("ls /dev/sda").status, 60.0)
    machine.check("sync")
    return f"by a stick: taken in {took_s:.0f} s, {now} at the next start"


def _by_phone(machine: Machine, hand: Hand, bundle: Path) -> str:
    hand.pair(CODE, "Anna")
    hand.page.locator("#rail").get_by_role("button", name="more").tap()
    start = time.monotonic()
    hand.page.locator("#profile-file").set_input_files(bundle)
    said = hand.until("its words", "the unit checks it now", "#profile-said")
    hand.look("brought")
    told = _until_told(machine, "is on trial")
    _until_proved(machine, versions.BETTER)
    took_s = time.monotonic() - start
    # The page is the new version's own now, and says what the updater said.
    hand.page.reload(timeout=LIVE_S * 1000)
    hand.until("the picture", "live", "#face")
    assert "is on trial" in told, (said, told)
    left = machine.check("ls /var/lib/midgrey/incoming 2>/dev/null || true").split()
    assert not left, left
    return f"by a phone: from the file to its proof in {took_s:.0f} s, {current(machine)}"


def _until_told(machine: Machine, words: str) -> str:
    """Wait for what the updater says; any other last word of it is a failure."""
    told = _waited(machine, "a word of the updater", lambda: _told(machine))
    assert words in told, told
    return str(told)


def _told(machine: Machine) -> str:
    return machine.run(TOLD).text.strip()


def _until_proved(machine: Machine, number: str) -> None:
    """Wait until the version of that number runs and is on trial no longer."""
    is_proved = lambda: not on_trial(machine) and runs(machine).startswith(number)  # noqa: E731
    _waited(machine, f"a proof of {number}", is_proved)


def _until_live(machine: Machine) -> None:
    _waited(machine, "a live picture", lambda: _status(machine) == "live")


def _waited(machine: Machine, what: str, happens) -> object:
    try:
        return machine.until(what, happens, TOLD_S, 1.0)
    except MachineError as fault:
        raise MachineError(f"{fault}\n{machine.check(UPDATING)}") from fault
