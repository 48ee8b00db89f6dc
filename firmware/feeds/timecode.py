"""Time code: hours, minutes, seconds and frame numbers, as SMPTE ST 12-1 counts them. Pure.

At 29.97 and 59.94 frames a second the numbers fall behind the clock by one in a thousand.
Drop-frame counting, written with a semicolon, makes up for it: it leaves out the first two numbers
(four at 59.94) of every minute but each tenth. No frame is dropped, only numbers (SMPTE ST 12-1,
from memory; the counts are checked against those that FFmpeg writes into files).
"""

import re
from dataclasses import dataclass
from enum import Enum

from firmware.errors import TimeCodeError
from overlays.wording.read_number import whole

_WRITTEN = re.compile(r"(\d{2})[:;](\d{2})[:;](\d{2})([:;.,])(\d{2,3})", re.ASCII)
_SHOWN_AT_MOST = 40
"""Characters of a tag that are repeated in a sentence."""

DROPPING = {30: 2, 60: 4}
"""Numbers left out at a minute, by the numbers of a second."""

_SAME_RATE = 1e-4
"""Share by which a file's figure may miss the rate it means (29.97 for 30000/1001: 1e-6)."""

PAIRED = (48, 60)
"""Rates, rounded, at which time code may count every second frame only."""


class CountedFrom(Enum):
    """Where a count begins."""

    FILE = "file"
    """At the time code that the file gives its first frame."""
    FIRST_FRAME = "first frame"
    """At zero, for want of a time code."""


@dataclass(frozen=True, slots=True)
class FrameCounting:
    """How frames are numbered.

    Attributes
    ----------
    numbers:
        Of a second: the whole frames next to the rate, 30 at 29.97.
    left_out:
        Of every minute but each tenth: 0, or of drop-frame counting 2 or 4.
    sharing:
        Frames that have one number: 2 where a rate above 30 is numbered in pairs.
    """

    numbers: int
    left_out: int = 0
    sharing: int = 1

    @property
    def in_ten_minutes(self) -> int:
        """Numbers there are in ten minutes."""
        return 600 * self.numbers - 9 * self.left_out

    def count(self, hours: int, minutes: int, seconds: int, number: int) -> int | None:
        """How many numbers lie before this one since midnight; None where there is none such."""
        if hours > 23 or minutes > 59 or seconds > 59 or number >= self.numbers:
            return None
        if seconds == 0 and minutes % 10 and number < self.left_out:
            return None
        passed = 60 * hours + minutes
        whole = (60 * passed + seconds) * self.numbers + number
        return whole - self.left_out * (passed - passed // 10)

    def text(self, count: int) -> str:
        """The number that so many lie before, as it is written; midnight comes after 23:59."""
        tens, rest = divmod(count % (144 * self.in_ten_minutes), self.in_ten_minutes)
        first = 60 * self.numbers  # the first of ten minutes has all its numbers
        minutes = 0 if rest < first else 1 + (rest - first) // (first - self.left_out)
        whole = count % (144 * self.in_ten_minutes) + self.left_out * (9 * tens + minutes)
        seconds, number = divmod(whole, self.numbers)
        width = 2 if self.numbers <= 100 else 3
        return (
            f"{seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"
            f"{';' if self.left_out else ':'}{number:0{width}d}"
        )


@dataclass(frozen=True, slots=True)
class TimeCode:
    """Numbers for the frames of a feed.

    Attributes
    ----------
    counting:
        How they run.
    start:
        Numbers since midnight before that of the first frame.
    origin:
        Where the start comes from.
    rate:
        Frames a second for which it is counted; 0.0 where that is just the numbers of a second.
    """

    counting: FrameCounting
    start: int = 0
    origin: CountedFrom = CountedFrom.FIRST_FRAME
    rate: float = 0.0

    def at(self, frame: int) -> str:
        """The time code of a frame, counted from 0."""
        return self.counting.text(self.start + max(frame, 0) // self.counting.sharing)

    def at_s(self, seconds: float) -> str:
        """The time code of a moment, seconds after the first frame: that of the nearest frame."""
        rate = self.rate or float(self.counting.numbers * self.counting.sharing)
        return self.at(round(seconds * rate))


def from_zero(rate: float) -> TimeCode:
    """A count from the first frame of a feed of so many frames a second."""
    return TimeCode(FrameCounting(max(round(rate), 1)), rate=_counted_rate(rate))


def _counted_rate(rate: float) -> float:
    """The rate, where frames are numbered at it; else the whole numbers next to it.

    Time code runs at a whole rate or at 1000/1001 of it (SMPTE ST 12-1). A rate between, the mean
    of frames that come unevenly, is none to number frames at: numbers then go by the clock.
    """
    whole = max(round(rate), 1)
    usual = min(abs(rate - whole), abs(rate - whole / 1.001)) < _SAME_RATE * whole
    return rate if usual else float(whole)


def parse_timecode(text: str, rate: float, count: int | None = None) -> TimeCode:
    """The time code of a file from its first frame on.

    Parameters
    ----------
    text:
        As the file has it: ``01:00:00:00``, with a semicolon (or a point) before the last number
        where that is counted by drop-frame.
    rate:
        Frames a second.
    count:
        Numbers since midnight before the first, where the file says that too: above 30 frames a
        second only this tells whether every frame has a number of its own, or every pair.

    Raises
    ------
    TimeCodeError
        The text is no time code at this rate; the sentence says why.
    """
    found = _WRITTEN.fullmatch(text.strip())
    if found is None:
        raise _fault(text, "four numbers as in 01:00:00:00 are needed")
    hours, minutes, seconds, number = (whole(found[group]) for group in (1, 2, 3, 5))
    drops = found[4] != ":"
    usual: TimeCode | None = None
    for counting in _countings(rate, drops=drops):
        start = counting.count(hours, minutes, seconds, number)
        if start is None:
            continue
        made = TimeCode(counting, start, CountedFrom.FILE, _counted_rate(rate))
        if count is None or start == count:
            return made
        usual = usual or made
    if usual is not None:
        return usual
    if drops and not _countings(rate, drops=True):
        raise _fault(text, f"drop-frame counting belongs to 29.97 and 59.94 a second, not {rate:g}")
    raise _fault(text, f"there is no such number at {rate:g} frames a second")


def _countings(rate: float, *, drops: bool) -> list[FrameCounting]:
    """The ways in which frames of a rate may be numbered, the usual one first."""
    whole = max(round(rate), 1)
    out = [FrameCounting(whole)]
    if PAIRED[0] <= whole <= PAIRED[1] and whole % 2 == 0:
        out.append(FrameCounting(whole // 2, sharing=2))
    if not drops:
        return out
    # 30000/1001 is nearer to 29.97 than to 30.
    if abs(rate - whole / 1.001) >= abs(rate - whole):
        return []
    return [
        FrameCounting(each.numbers, DROPPING[each.numbers], each.sharing)
        for each in out
        if each.numbers in DROPPING
    ]


def _fault(text: str, why: str) -> TimeCodeError:
    shown = text.strip()[:_SHOWN_AT_MOST]
    return TimeCodeError(
        f"the file's time code {shown!r} cannot be counted on: {why}; time code is counted from "
        "the first frame instead"
    )
