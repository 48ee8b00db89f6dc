"""What the board's own firmware is told: `config.txt` and `cmdline.txt`, changed as texts.

Lines for each board lie in `hardware/config-BOARD.txt`, with their reasons. What an image's kernel
options do at its first start (raspberrypi/documentation, config_txt; RPi-Distro/pi-gen, stage1,
`cmdline.txt`) and a card must not have stands below.
"""

import re
from enum import Enum

from hardware.card.errors import ImageError

BEGIN, END = "# midgrey: begin", "# midgrey: end"

READ_ONLY = "midgrey.readonly"
"""Kernel option of systemd/readonly."""

GROWS = "resize"
"""By this option the makers' image makes its root as large as the card, which would leave no room
for the data partition."""

QUIET = (
    "quiet",
    "loglevel=3",
    "systemd.show_status=0",
    "vt.global_cursor_default=0",
    "logo.nologo",
)
"""Nothing of the kernel's and no cursor shows on the screen, which the picture has for itself."""

_CONSOLE = "console=tty1"
_ELSEWHERE = "console=tty3"


class Board(Enum):
    """A board that there are boot lines for; the value is the word for it."""

    PI4 = "pi4"
    PI5 = "pi5"
    CM4 = "cm4"
    ZERO2W = "zero2w"


class Input(Enum):
    """Where the picture comes in; the value is the word for it."""

    BRIDGE = "bridge"
    """An HDMI bridge at the camera's connector."""
    USB = "usb"
    """A capture stick."""
    CAMERA = "camera"
    """A camera at the connector."""


_BRIDGE_LINES = re.compile(r"dtoverlay=(tc358743|cma)\b")


def lines_for(board_file: str, chosen: Input) -> list[str]:
    """The lines of a board's file that are wanted with this input, without remarks.

    Parameters
    ----------
    board_file:
        `hardware/config-BOARD.txt`.
    chosen:
        Where the picture comes in.
    """
    lines = [line.strip() for line in board_file.splitlines()]
    lines = [line for line in lines if line and not line.startswith("#")]
    if chosen is Input.BRIDGE:
        return lines
    lines = [line for line in lines if not _BRIDGE_LINES.match(line)]
    if chosen is Input.CAMERA:
        return ["camera_auto_detect=1" if _key(line) == _DETECT else line for line in lines]
    return lines


_DETECT = "camera_auto_detect"


def _key(line: str) -> str:
    """What a line sets; an overlay with its options is one by itself."""
    key = line.partition("=")[0].strip()
    return line.strip() if key in {"dtoverlay", "dtparam"} else key


def with_config(text: str, lines: list[str]) -> str:
    """`config.txt` with our lines at its end, for all boards; done twice, it is as done once.

    What it said of the same settings before becomes a remark.

    Parameters
    ----------
    text:
        As it is on the image.
    lines:
        Ours.
    """
    before, _, rest = text.partition(f"{BEGIN}\n")
    behind = rest.partition(f"{END}\n")[2]
    kept = (before + behind).rstrip("\n").split("\n")
    ours = {_key(line) for line in lines}
    kept = [f"# {line}  (see below)" if _key(line) in ours else line for line in kept]
    head = "\n".join(kept).strip("\n")
    return "\n".join([*([head, ""] if head else []), BEGIN, "[all]", *lines, END, ""])


def with_cmdline(text: str, *, read_only: bool, name: str = "cmdline.txt") -> str:
    """The kernel's options for a card: one line.

    Parameters
    ----------
    text:
        `cmdline.txt` as it is on the image.
    read_only:
        Whether the root is to be read-only from the end of the first boot on; see
        `firmware.first_boot`, which adds the option then.

    Raises
    ------
    ImageError
        It is not one line that names a root.
    """
    words = text.split()
    if not any(word.startswith("root=") for word in words):
        raise ImageError(
            f"{name} on the first partition names no root=: this is no image that a board boots "
            "from; give one as its makers deliver it"
        )
    dropped = {GROWS, READ_ONLY, WANTS_READ_ONLY, *QUIET}
    # A program that some images run instead of the system at their first start.
    words = [word for word in words if word not in dropped and not word.startswith("init=")]
    words = [_ELSEWHERE if word == _CONSOLE else word for word in words]
    return " ".join([*words, *QUIET, *([WANTS_READ_ONLY] if read_only else [])]) + "\n"


WANTS_READ_ONLY = "midgrey.readonly-later"
"""Read by nobody but the first boot, whose last step makes `READ_ONLY` of it."""
