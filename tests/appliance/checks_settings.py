"""What an installer may have got wrong, or not plugged in yet: the picture comes all the same."""

import time
from collections.abc import Iterator
from contextlib import contextmanager

from checks_screen import has_reading, is_whole, keep, main_pid, start_service, until_live
from machine import Machine

SETTINGS = "/etc/midgrey/environment"
DRIVER = "/sys/bus/platform/drivers/vivid"
IDLE_S = 600.0


@contextmanager
def _set(machine: Machine, line: str) -> Iterator[None]:
    """The service stopped, with one more line in its settings for a while."""
    machine.check(f"systemctl stop midgrey.service; cp {SETTINGS} /run/settings")
    machine.check(f"echo '{line}' >> {SETTINGS}")
    try:
        yield
    finally:
        machine.check(f"systemctl stop midgrey.service; cp /run/settings {SETTINGS}")


def unknown_profile(machine: Machine) -> str:
    """A profile that does not exist: the standard one, what is wrong in words, no restarts."""
    with _set(machine, "MIDGREY_OPTIONS=--profile nonesuch"):
        start_service(machine)
        pid = main_pid(machine)
        keep(machine, "unknown-profile")
        said = machine.check("journalctl -b -u midgrey.service -o cat --no-pager | tail -20")
        assert "nonesuch" in said, said
        assert main_pid(machine) == pid, "the service was started anew"
    start_service(machine)
    return next(line for line in said.splitlines() if "nonesuch" in line)


KIT = b'[kit]\nunit = "cam-a"\nbroker = "192.0.2.1"\npassword = "nobody is there"\ntls = false\n'
"""A broker at an address that is nobody's (RFC 5737)."""


def kit_out_of_reach(machine: Machine) -> str:
    """A preset of a kit that nobody reaches, in a unit that may not even ask: it measures on."""
    preset, kept = "/boot/midgrey/kit.toml", "/var/lib/midgrey/last-good-preset.toml"
    machine.check("systemctl stop midgrey.service; mkdir -p /boot/midgrey")
    machine.put(preset, KIT)
    try:
        start_service(machine)
        pid = main_pid(machine)
        time.sleep(12.0)  # until it stands on the screen
        keep(machine, "kit-out-of-reach")
        said = machine.check("journalctl -b -u midgrey.service -o cat --no-pager | tail -20")
        lines = [line for line in said.splitlines() if "kit" in line]
        assert lines, said
        assert main_pid(machine) == pid, "the service was started anew"
    finally:
        machine.check(f"systemctl stop midgrey.service; rm -f {preset} {kept}")
    start_service(machine)
    return lines[-1]


def feed_comes_later(machine: Machine) -> str:
    """The feed named in the settings is not there at the start: no other's picture, until it is."""
    machine.check("systemctl stop midgrey.service")
    machine.check(f"echo vivid.0 > {DRIVER}/unbind")
    try:
        machine.check("systemctl start --no-block midgrey.service")
        machine.until("a process", lambda: main_pid(machine), 30.0)
        pid = main_pid(machine)
        time.sleep(60.0)  # longer than a start takes: it has said what it waits for by then
        waiting = machine.screen()
        keep(machine, "feed-absent")
        assert not is_whole(waiting), "a picture without a feed"
        assert not has_reading(waiting), "a reading without a feed"
        assert waiting.max() > 200, "a dark screen says nothing"
        assert main_pid(machine) == pid, "the service was started anew"
    finally:
        machine.check(f"echo vivid.0 > {DRIVER}/bind")
    took_s = until_live(machine, 60.0)
    assert main_pid(machine) == pid, "the service was started anew"
    return f"live {took_s:.0f} s after the board was there, in the same process"


def idle_writes(machine: Machine) -> str:
    """Bytes written to the card by the whole board while nobody touches it, for one hour."""
    until_live(machine, 120.0)
    machine.check("sync")
    before = _written_bytes(machine)
    time.sleep(IDLE_S)
    machine.check("sync")
    bytes_an_hour = (_written_bytes(machine) - before) * 3600.0 / IDLE_S
    assert bytes_an_hour < 10e6, f"{bytes_an_hour / 1e6:.1f} MB an hour"
    return f"{bytes_an_hour / 1e3:.0f} kB an hour, from {IDLE_S / 60:.0f} minutes"


def _written_bytes(machine: Machine) -> int:
    """Sectors of 512 bytes written to the disk (Linux, Documentation/block/stat.rst)."""
    return 512 * int(machine.check("cat /sys/block/vda/stat").split()[6])
