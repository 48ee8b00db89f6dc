"""A unit without a screen that is set up and read from a phone alone, by the page's own socket."""

import csv
import io
import re
import socket
import time
from pathlib import Path

from checks_unit import SAID, _status, with_its_log
from fat import fat_image
from image import Image
from machine import ADDRESS, Machine, MachineError, keeping_layer
from phone import Hand, phone

CODE = "kit b 2026"
PRESET = f"""\
title = "Headless, by phone"
feed = "bench:size=640x360,rate=2,noise=0.5"
view = "expose"
page = "on"
page_code = "{CODE}"
"""
# No connector has a screen; and the boot partition is mounted before anything of ours runs.
OPTIONS = "video=Virtual-1:d systemd.mount-extra=/dev/vdb:/boot/firmware:vfat:ro"
INSTALL = "bash /usr/local/src/midgrey/systemd/install.sh --page --wheels /var/lib/wheels"
SOCKET = "midgrey-page.socket"
LIVE_S = 300.0


def free_port() -> int:
    """A port of this machine that nobody listens on."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        return int(free.getsockname()[1])


def in_network(machine: Machine) -> None:
    """Give the unit the address that NetworkManager gives to whoever shares a network."""
    machine.check("udevadm settle")  # it is given another name while the board comes up
    card = "$(ls /sys/class/net | grep -v '^lo$')"
    machine.check(f"ip link set {card} up && ip addr add {ADDRESS}/24 dev {card}")


def morning_by_phone(built: Image, folder: Path) -> str:
    """Installed with --page; then, after a start, all of a morning's checks by phone alone."""
    place = folder / "phone"
    place.mkdir(parents=True, exist_ok=True)
    disk, card, port = place / "boot.img", keeping_layer(built, place / "card.qcow2"), free_port()
    disk.write_bytes(fat_image("midgrey", {"kit.toml": PRESET.encode()}))
    machine = Machine(built, place, disk=card, options=OPTIONS, drives=(disk,))
    machine.forward = {port: 80}
    with machine, with_its_log(machine):
        machine.until_answering()
        in_network(machine)
        said = _switched_on(machine)
        machine.check("sync")
    with machine, with_its_log(machine):
        machine.until_answering()
        in_network(machine)
        _until_live(machine)
        live_s = machine.since_start_s()
        with phone(port) as hand:
            found = _morning(hand)
        log = machine.check(SAID)
        assert "Traceback" not in log, log
    return f"{said}; live {live_s:.0f} s after power-on; {found}"


def _switched_on(machine: Machine) -> str:
    """The installer switches the page on while the unit runs, without a restart of the board."""
    _until_live(machine)
    refused = machine.check(SAID)
    assert "run systemd/install.sh --page once" in refused, refused
    said = machine.check(INSTALL, 600.0)
    assert SOCKET in said, said
    assert "packages" not in said, said
    _until_live(machine)
    again = machine.check(INSTALL, 300.0)
    assert "nothing to change" in again, again
    # systemd listens, and the service was handed what it listens on.
    owners = machine.check(f"ss -ltnpH 'src {ADDRESS}:80'")
    assert "systemd" in owners, owners
    log = machine.check(SAID)
    assert f"the page is at http://{ADDRESS}\n" in log, log
    return f"page switched on while running; {exposure(machine)}"


def exposure(machine: Machine) -> str:
    """What `systemd-analyze security` gives for the service as it is now."""
    said = machine.check("systemd-analyze security --no-pager midgrey.service | tail -1", 120.0)
    found = re.search(r"midgrey\.service: ([\d.]+)", said)
    assert found is not None, said
    return f"exposure {found[1]}"


def _until_live(machine: Machine) -> None:
    try:
        machine.until("a live picture", lambda: _status(machine) == "live", LIVE_S)
    except MachineError as fault:
        raise MachineError(f"{fault}\n{machine.check(SAID)[-3000:]}") from fault


def _morning(hand: Hand) -> str:
    start = time.monotonic()
    hand.pair(CODE, "Anna")
    hand.view("balance")
    hand.press("grey card")
    balance = hand.reads(r"in tolerance.*shown as, K\s+\d{4} ±\d+")
    hand.look("balance")
    hand.view("expose")
    exposed = hand.reads(r"[+−]?0\.\d\d\s+±\d\.\d+ st")
    hand.look("expose")
    headroom = hand.reads(r"(headroom|clip)")
    hand.view("chart")
    chart = hand.reads(r"mean ΔE00.*found in the picture")
    hand.look("chart")
    hand.view("match")
    hand.press("take camera A")
    match = hand.reads(r"±\d\.\d+ st.*B agrees with A")
    hand.look("match")
    hand.view("expose")
    hand.reads(r"[+−]?0\.\d\d\s+±\d\.\d+ st")
    hand.mark(scene="12", shot="A", take="1")
    hand.until("the mark", "mark 1 saved", "#note")
    hand.open_journal()
    hand.until("the mark", "scene 12, shot A, take 1", "#marks")
    hand.look("journal")
    rows = list(csv.DictReader(io.StringIO(hand.fetch("Save table (CSV)").read_text())))
    assert {(row["scene"], row["shot"], row["take"]) for row in rows} == {("12", "A", "1")}, rows
    assert {row["view"] for row in rows} == {"expose"}, rows  # though turned to just before
    report = hand.fetch("Save report").read_text()
    assert "Scene 12, shot A" in report
    for text in (balance, exposed, headroom, chart, match):
        print(" | ".join(text.split("\n"))[:300], flush=True)
    return f"paired to report in {time.monotonic() - start:.0f} s"
