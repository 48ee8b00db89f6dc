"""`midgrey network`: a network that the unit opens itself, by NetworkManager, for phones."""

import secrets
import socket
import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TextIO

from firmware.commands.own import NetworkOptions
from firmware.errors import ArgumentError, FirmwareError
from firmware.page.listening import INTERFACE
from firmware.written.declared import Command

CONNECTION = "midgrey"
"""What NetworkManager knows it by."""
ADDRESS = "10.42.0.1"
"""Of whoever shares a connection, by NetworkManager's own choice; and of midgrey-page.socket."""
MOST_NAME_BYTES = 32
"""Of a network's name (IEEE 802.11, SSID)."""
LETTERS = "abcdefghijkmnpqrstuvwxyz23456789"
"""Of a password: none is taken for another (l and 1, o and 0)."""
LENGTH = 12
"""Letters of a password: 60 bits, far beyond what WPA2's own slow hash lets anybody try."""
LONGEST_S = 60.0


@dataclass(frozen=True, slots=True)
class NmcliReply:
    """How a program ended, and what it said of it."""

    status: int
    said: str


Run = Callable[[Sequence[str]], NmcliReply]


def main(_command: Command, options: NetworkOptions) -> None:
    """Open it, or take it away."""
    if options.close:
        close(run, sys.stdout)
    else:
        open_network(options, run, sys.stdout, drawn_password())


def drawn_password() -> str:
    """A password that nobody can guess and everybody can type."""
    return "".join(secrets.choice(LETTERS) for _ in range(LENGTH))


def open_network(options: NetworkOptions, ask: Run, out: TextIO, password: str) -> None:
    """Make the network, and open it now and at every start.

    Raises
    ------
    FirmwareError
        A name is none, or NetworkManager will not.
    """
    name = options.name or f"{CONNECTION}-{socket.gethostname().partition('.')[0]}"
    if not 0 < len(name.encode()) <= MOST_NAME_BYTES or not name.isprintable():
        raise ArgumentError(f"--name {name!r}: a network's name has 1 to {MOST_NAME_BYTES} bytes")
    if not INTERFACE.fullmatch(options.device):
        raise ArgumentError(f"--device {options.device!r} is no device; write one as wlan0")
    ask(["connection", "delete", "id", CONNECTION])  # an older one, if there is any
    made = [
        *("connection", "add", "type", "wifi", "ifname", options.device, "con-name", CONNECTION),
        *("autoconnect", "yes", "ssid", name, "802-11-wireless.mode", "ap"),
        *("ipv4.method", "shared", "ipv4.addresses", f"{ADDRESS}/24", "ipv6.method", "disabled"),
        *("802-11-wireless-security.key-mgmt", "wpa-psk"),
        *("802-11-wireless-security.proto", "rsn"),
        *("802-11-wireless-security.psk", password),
    ]
    _done(ask(made))
    _done(ask(["connection", "up", "id", CONNECTION]))
    print(f"The network {name} is open, with the password {password}", file=out)
    print(f"The page is at http://{ADDRESS} there once it is switched on:", file=out)
    print('page = "on" in the preset, and sudo systemd/install.sh --page once', file=out)


def close(ask: Run, out: TextIO) -> None:
    """Take the network away.

    Raises
    ------
    FirmwareError
        There is none, or NetworkManager will not.
    """
    _done(ask(["connection", "delete", "id", CONNECTION]))
    print("The network is gone.", file=out)


def _done(told: NmcliReply) -> None:
    if told.status:
        raise FirmwareError(f"NetworkManager: {told.said or 'it did not say why'}")


def run(words: Sequence[str]) -> NmcliReply:
    """Ask NetworkManager's own program.

    Raises
    ------
    FirmwareError
        It is not there, or does not answer.
    """
    try:
        done = subprocess.run(
            ["nmcli", *words], capture_output=True, text=True, timeout=LONGEST_S, check=False
        )
    except FileNotFoundError as fault:
        raise FirmwareError(
            "nmcli is not installed: a network is opened by NetworkManager (apt install "
            "network-manager)"
        ) from fault
    except subprocess.TimeoutExpired as fault:
        raise FirmwareError(
            f"nmcli has not answered for {LONGEST_S:g} seconds: look at systemctl status "
            "NetworkManager"
        ) from fault
    said = " ".join(done.stderr.split()).removeprefix("Error: ")
    return NmcliReply(done.returncode, said)
