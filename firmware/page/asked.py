"""What a phone may say through the WebSocket: each message is one of these, or refused."""

import json
import math
from dataclasses import dataclass

from firmware.actions import Press
from firmware.errors import PageError
from firmware.journal.slate import FIELDS, Slate, slate_of

MOST_BYTES = 4096
"""Of one message: a slate with a note is the longest."""

WITHHELD = frozenset({Press.QUIT, Press.HELP})
"""What ends the unit's run, and what explains the keys of a keyboard, is no phone's."""
PRESSES = {press.name.lower(): press for press in Press if press not in WITHHELD}
MOST_NUMBER = 10_000
LONGEST_VIEW = 40


@dataclass(frozen=True, slots=True)
class Pressed:
    """A label was tapped."""

    press: Press


@dataclass(frozen=True, slots=True)
class Tapped:
    """The picture was tapped: shares of its width and height, 0 to 1; `pins` sets a pin there."""

    across: float
    down: float
    pins: bool = False


@dataclass(frozen=True, slots=True)
class Viewed:
    """A view was chosen by its name."""

    name: str


@dataclass(frozen=True, slots=True)
class ProfileChosen:
    """A profile was chosen by its number in the list."""

    number: int


@dataclass(frozen=True, slots=True)
class Marked:
    """A mark with what the clapper board says; `everyone` on every unit of the kit."""

    slate: Slate
    everyone: bool = False


@dataclass(frozen=True, slots=True)
class ReadyFor:
    """What the phone is ready for: sent once each, so that nothing waits on the way.

    `figures` says whether it shows the index of views, None where it says nothing of that.
    """

    moment: bool = False
    picture: bool = False
    counts: bool = False
    figures: bool | None = None


Asked = Pressed | Tapped | Viewed | ProfileChosen | Marked | ReadyFor
Doing = Pressed | Tapped | Viewed | ProfileChosen | Marked


def parse_asked(text: str | bytes) -> Asked:
    """What a message asks for.

    Raises
    ------
    PageError
        It is not understood.
    """
    if len(text) > MOST_BYTES:
        raise PageError(f"a message is at most {MOST_BYTES} bytes long")
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        raise PageError("a message is one object of JSON") from None
    if not isinstance(found, dict):
        raise PageError("a message is one object of JSON")
    kind = found.get("do")
    if kind == "want":
        return _wanted(found)
    if kind == "press":
        press = PRESSES.get(str(found.get("press")))
        if press is None:
            raise PageError("there is no such press")
        return Pressed(press)
    if kind == "tap":
        return Tapped(_share(found.get("x")), _share(found.get("y")), found.get("pin") is True)
    if kind == "view":
        return Viewed(str(found.get("name"))[:LONGEST_VIEW])
    if kind == "profile":
        return ProfileChosen(_number(found.get("number")))
    if kind == "mark":
        return Marked(_slate(found.get("slate")), found.get("all") is True)
    raise PageError("there is no such thing to do")


def _wanted(found: dict[str, object]) -> ReadyFor:
    figures = found.get("figures")
    return ReadyFor(
        moment=found.get("moment") is True,
        picture=found.get("picture") is True,
        counts=found.get("counts") is True,
        figures=figures if isinstance(figures, bool) else None,
    )


def _share(given: object) -> float:
    if isinstance(given, bool) or not isinstance(given, int | float):
        raise PageError("a place in the picture is two shares from 0 to 1")
    # An integer of JSON may be too large for a float.
    if not 0 <= given <= 1 or not math.isfinite(given):
        raise PageError("a place in the picture is two shares from 0 to 1")
    return float(given)


def _number(given: object) -> int:
    if isinstance(given, bool) or not isinstance(given, int) or not 0 <= given <= MOST_NUMBER:
        raise PageError("a profile is chosen by its number in the list")
    return given


def _slate(given: object) -> Slate:
    if not isinstance(given, dict) or not set(given) <= set(FIELDS):
        raise PageError(f"a slate has the fields {', '.join(FIELDS)}")
    if not all(isinstance(each, str) for each in given.values()):
        raise PageError("the fields of a slate are texts")
    plain = {name: "".join(c if c.isprintable() else " " for c in v) for name, v in given.items()}
    return slate_of(plain)
