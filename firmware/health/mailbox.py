"""What the board's own firmware says of its speed, asked as the kernel lets anybody ask.

The request is a list of words: its size, 0, then one tag (number, room, 0, 0), room for the
question and its answer as text, and 0 at the end. Tag 0x30080 passes a question on to the firmware.
Sources: raspberrypi/linux drivers/char/broadcom/vcio.c (0fa4c422), raspberrypi/utils
vcgencmd/vcgencmd.c (1117a75a). The kernel waits for an answer for a second at the most
(drivers/firmware/raspberrypi.c, 01fc79ac).
"""

import fcntl
import os
import re
import struct
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import TypeAlias

from firmware.health.kernel_files import inside, text_of

NODES = (Path("/dev/vcio_gencmd"), Path("/dev/vcio"))
"""The first is of newer kernels and answers nothing else; both belong to group video."""

OLD_FILE = Path("/sys/devices/platform/soc/soc:firmware/get_throttled")
"""What the kernel itself asked last, in hexadecimal (drivers/firmware/raspberrypi.c). Only where
the firmware cannot be asked: every first reader of it makes the kernel complain in its log."""

ROOM_BYTES = 1024
_TAG = 0x00030080
_HEAD = struct.Struct("=6I")
_QUESTION = b"get_throttled"
_PROPERTY = 3 << 30 | struct.calcsize("P") << 16 | 100 << 8
"""_IOWR(100, 0, char *) of vcio.c."""

_ANSWER = re.compile(r"throttled=0x([0-9a-fA-F]{1,8})\s*")
_HEXADECIMAL = re.compile(r"(?:0x)?([0-9a-fA-F]{1,8})\s*")

Ask: TypeAlias = Callable[[Path, bytearray], None]
"""Hand a request to a node; the answer is written into it. OSError where that fails."""


class Brake(Enum):
    """What holds the board back; the value is the bit of `get_throttled` that means now.

    The same bit 16 places higher means since start-up. Source: Raspberry Pi documentation,
    computers/os, vcgencmd, get_throttled.
    """

    UNDER_VOLTAGE = 0
    CAPPED = 1
    THROTTLED = 2
    SOFT_LIMIT = 3


@dataclass(frozen=True, slots=True)
class Throttle:
    """What holds the board back now and what has since start-up; None where that is not known."""

    now: frozenset[Brake]
    since_start: frozenset[Brake] | None


def throttle(root: Path = Path("/"), ask: Ask | None = None) -> Throttle | None:
    """What holds the board back; None where nothing says so."""
    for node in NODES:
        bits = _asked(inside(root, node), system_ask if ask is None else ask)
        if bits is not None:
            return Throttle(_brakes(bits), _brakes(bits >> 16))
    found = _HEXADECIMAL.fullmatch((text_of(inside(root, OLD_FILE)) or "").strip())
    if found is None:
        return None
    # The kernel clears the upper bits every two seconds as it asks (raspberrypi-hwmon.c), so here
    # they mean just now.
    bits = int(found[1], 16)
    return Throttle(_brakes(bits | bits >> 16), None)


def is_refused(root: Path = Path("/")) -> bool:
    """Whether the firmware could be asked, only not by this user."""
    nodes = [inside(root, node) for node in NODES]
    there = [node for node in nodes if node.exists()]
    return bool(there) and not any(os.access(node, os.R_OK) for node in there)


def request() -> bytearray:
    """The question, ready to be handed over."""
    head = _HEAD.pack(_HEAD.size + ROOM_BYTES + 4, 0, _TAG, ROOM_BYTES, 0, 0)
    return bytearray(head + _QUESTION.ljust(ROOM_BYTES, b"\0") + bytes(4))


def answer(given: bytes | bytearray) -> int | None:
    """The bits in an answered request; None where there are none."""
    if len(given) < _HEAD.size or _HEAD.unpack_from(given)[5] != 0:
        return None
    text = bytes(given[_HEAD.size : _HEAD.size + ROOM_BYTES]).partition(b"\0")[0]
    found = _ANSWER.fullmatch(text.decode(errors="replace"))
    return None if found is None else int(found[1], 16)


def system_ask(node: Path, given: bytearray) -> None:
    """Hand a request to the kernel."""
    descriptor = os.open(node, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC)
    try:
        fcntl.ioctl(descriptor, _PROPERTY, given, True)
    finally:
        os.close(descriptor)


def _asked(node: Path, ask: Ask) -> int | None:
    if not node.exists():
        return None
    given = request()
    try:
        ask(node, given)
    except OSError:
        return None
    return answer(given)


def _brakes(bits: int) -> frozenset[Brake]:
    return frozenset(brake for brake in Brake if bits >> brake.value & 1)
