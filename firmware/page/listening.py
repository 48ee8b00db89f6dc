"""Where the page listens: what systemd hands over, an address, or the address of an interface."""

import fcntl
import ipaddress
import os
import re
import socket
import struct
from collections.abc import MutableMapping
from dataclasses import dataclass

from firmware.errors import ArgumentError, PageError
from firmware.system.files import reason_of
from overlays.wording.read_number import whole

ON = "on"
"""Written for: what systemd hands over, else this machine alone."""
USUAL_PORT = 8800
"""Free of the registered ports of RFC 6335's registry at IANA (from memory), and short to type."""
FIRST_HANDED = 3
"""The first descriptor that systemd hands over (sd_listen_fds(3), SD_LISTEN_FDS_START)."""
WAITING = 16
"""Connections that wait to be taken: of a few phones, some each."""

_SIOCGIFADDR = 0x8915
"""Asks an interface for its address (linux/sockios.h, netdevice(7))."""
INTERFACE = re.compile(r"[a-zA-Z][\w.-]{0,14}", re.ASCII)
"""At most 15 characters (IFNAMSIZ of linux/if.h less the zero behind them)."""

HOW = f"write {ON}, an address as 10.42.0.1 or 10.42.0.1:{USUAL_PORT}, or an interface as wlan0"


@dataclass(frozen=True, slots=True)
class Place:
    """Where to listen.

    Attributes
    ----------
    host:
        An address; None where systemd hands something over or an interface is meant.
    interface:
        Its name, or None.
    port:
        1 to 65535.
    """

    host: str | None = None
    interface: str | None = None
    port: int = USUAL_PORT


def parse_place(written: str) -> Place:
    """The place that was written.

    Raises
    ------
    ArgumentError
        It is none, or means every network that the machine is in.

    Examples
    --------
    >>> parse_place("10.42.0.1:80")
    Place(host='10.42.0.1', interface=None, port=80)
    """
    if written == ON:
        return Place()
    found = re.fullmatch(r"(?:\[([^\]]+)\]|([^:]+))(?::(\d{1,5}))?", written, re.ASCII)
    if found is None:
        raise ArgumentError(f"--page {written!r}: {HOW}")
    name, port = found[1] or found[2], USUAL_PORT if found[3] is None else whole(found[3])
    if not 0 < port < 65536:
        raise ArgumentError(f"--page {written!r}: ports are 1 to 65535")
    try:
        address = ipaddress.ip_address(name)
    except ValueError:
        if found[1] is None and INTERFACE.fullmatch(name):
            return Place(interface=name, port=port)
        raise ArgumentError(f"--page {written!r}: {HOW}") from None
    if address.is_unspecified:
        raise ArgumentError(
            f"--page {written!r} means every network that this machine is in; name the address or "
            "the interface of the one that the phone is in"
        )
    return Place(host=name, port=port)


def opened(place: Place, environ: MutableMapping[str, str] = os.environ) -> socket.socket:
    """A socket that listens there.

    Raises
    ------
    PageError
        Nobody can listen there.
    """
    if place == Place():
        handed = _handed(environ)
        if handed is not None:
            return handed
        place = Place(host="127.0.0.1")
    try:
        host = place.host or _address_of(place.interface or "")
        family = socket.AF_INET6 if ":" in host else socket.AF_INET
        made = socket.socket(family, socket.SOCK_STREAM | socket.SOCK_CLOEXEC)
        try:
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            made.bind((host, place.port))
            made.listen(WAITING)
        except OSError:
            made.close()
            raise
    except OSError as fault:
        where = place.interface or place.host
        raise PageError(
            f"the page cannot listen at {where}, port {place.port} ({reason_of(fault)}); on a unit "
            "run systemd/install.sh --page once and write on, at a desk name an address that "
            "this machine has"
        ) from fault
    return made


def address_of(listening: socket.socket) -> str:
    """What is typed into a phone, as ``http://10.42.0.1``; with the port where that is not 80."""
    host, port = listening.getsockname()[:2]
    shown = f"[{host}]" if ":" in str(host) else str(host)
    return f"http://{shown}" if port == 80 else f"http://{shown}:{port}"


def _handed(environ: MutableMapping[str, str]) -> socket.socket | None:
    """What systemd hands over (sd_listen_fds(3)); asked for once, since it is then ours."""
    if environ.get("LISTEN_PID") != str(os.getpid()) or environ.get("LISTEN_FDS") in {None, "0"}:
        return None
    for name in ("LISTEN_PID", "LISTEN_FDS", "LISTEN_FDNAMES"):
        environ.pop(name, None)
    try:
        made = socket.socket(fileno=FIRST_HANDED)
    except OSError as fault:
        raise PageError(
            f"what systemd hands over is no socket ({reason_of(fault)}): see midgrey-page.socket"
        ) from fault
    made.set_inheritable(False)
    is_internet = made.family in {socket.AF_INET, socket.AF_INET6}
    if made.type != socket.SOCK_STREAM or not is_internet:
        made.close()
        raise PageError("what systemd hands over is no listening socket of the internet's kind")
    return made


def _address_of(interface: str) -> str:
    """The first IPv4 address of an interface; raises `OSError` where it has none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        asked = struct.pack("256s", interface.encode("ascii", "replace")[:15])
        told = fcntl.ioctl(asking.fileno(), _SIOCGIFADDR, asked)
    return socket.inet_ntoa(told[20:24])
