"""What a match finds."""

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np

from firmware.answers.origin import Origin
from firmware.instruments.heard import HeardUnit
from firmware.instruments.scene import Scene
from overlays.draw.moment.layers import Ghost, PinFlags
from overlays.measure.balance.balance import BalanceSettings
from overlays.measure.match.match import Match
from overlays.measure.match.remainder import Remainder, remainder, whole_difference
from overlays.measure.spot.spot import SpotReading

UNDIALLED = "what to dial is not known: say what B's balance is dialled to with --dial-b"
SAME = "B differs from A by less than the ± everywhere: are both of the same camera?"


@dataclass(frozen=True, slots=True, eq=False)
class Taken:
    """Camera A.

    Attributes
    ----------
    number:
        Which press took it.
    origin:
        Of the frame it was taken from; None where another unit reads it.
    spots:
        Its pins by number.
    ghost:
        Its counts; None where another unit has them.
    wall_s:
        Time of day when it was taken.
    scene:
        What it was taken from, with a frame of its own; None where nobody keeps it.
    unit:
        The unit that reads it, live; None where it was taken from the picture.
    """

    number: int
    origin: Origin | None
    spots: dict[int, SpotReading]
    ghost: Ghost | None
    wall_s: float = 0.0
    scene: Scene | None = None
    unit: HeardUnit | None = None

    @property
    def warnings(self) -> tuple[str, ...]:
        """What makes its readings less certain."""
        if self.origin is not None:
            return self.origin.warnings
        return () if self.unit is None else self.unit.warnings

    @property
    def named(self) -> str:
        """Its feed and its curve."""
        if self.origin is not None:
            return f"{self.origin.feed_name}, {self.origin.profile.curve.name}"
        assert self.unit is not None
        return f"{self.unit.name}, {self.unit.camera.get('curve', '')}"


@dataclass(frozen=True, slots=True, eq=False)
class Compared:
    """Camera B against camera A.

    Attributes
    ----------
    a:
        Camera A.
    numbers:
        Of the pins that both have, in the order of the pairs of `match`.
    match:
        What brings B to A.
    """

    a: Taken
    numbers: tuple[int, ...]
    match: Match


@dataclass(frozen=True, eq=False)
class MatchAnswer:
    """Camera B, and what brings it to camera A.

    Attributes
    ----------
    origin:
        Of camera B's frame.
    judged:
        What its R, G and B mean, and what its balance is dialled to.
    compared:
        With camera A; None before that was taken.
    has_chroma:
        Whether there are counts of its chroma.
    flags, gain:
        The pins as they are drawn, and the gain of the chroma trace.
    cdl, cdl_whole:
        The files that a command was asked to write.
    unit, why_not:
        The unit that camera A is to come from, if any; why nothing comes from it now.
    """

    origin: Origin
    judged: BalanceSettings
    compared: Compared | None
    has_chroma: bool
    flags: PinFlags
    gain: int
    cdl: Path | None = None
    cdl_whole: Path | None = None
    unit: str = ""
    why_not: str = ""

    @cached_property
    def rest(self) -> Remainder | None:
        """What remains, fitted when it is first asked for; None where no pin can be compared."""
        if self.compared is None:
            return None
        return remainder(self.compared.match, self.origin.profile.curve)

    @cached_property
    def whole(self) -> Remainder | None:
        """The whole difference, for footage that was shot already."""
        if self.compared is None:
            return None
        return whole_difference(self.compared.match, self.origin.profile.curve)

    @property
    def is_same(self) -> bool:
        """Whether B differs from A at none of the pins that can be compared by more than its ±."""
        pairs = () if self.compared is None else self.compared.match.pairs
        both = [(p.rgb_stops, p.rgb_pm) for p in pairs if p.rgb_stops and p.rgb_pm]
        return bool(both) and all(
            abs(off) <= pm for three in both for off, pm in zip(*three, strict=True)
        )

    @cached_property
    def warnings(self) -> tuple[str, ...]:
        """What makes the match less certain."""
        if self.compared is None:
            return ()
        dial = self.judged.dial
        out = [f"A: {each}" for each in self.compared.a.warnings]
        out += [f"B: {each}" for each in self.origin.warnings]
        out += [*(() if dial is None else self.origin.gamut_warnings)]
        out += self.compared.match.warnings
        if dial is None:
            out.append(UNDIALLED)
        if self.is_same:
            out.append(SAME)
        written = [path for path in (self.cdl, self.cdl_whole) if path is not None]
        if self.rest is None:
            out += [f"{path} was not written: no pin can be compared" for path in written]
        elif written:
            out.append(beyond(self.rest))
        return tuple(dict.fromkeys(out))


def beyond(rest: Remainder) -> str:
    """Where a correction is measured, and where nobody knows what it does."""
    low, high = (f"{end:+.1f}" for end in rest.span_stops)
    where = f"at {low} st" if low == high else f"on pins from {low} to {high} st"
    return (
        f"the correction was measured {where}; darker and "
        "lighter than that it goes on as it is, and by how much it is off there is not known"
    )


def leaves_words(rest: Remainder) -> str:
    """What a correction leaves, at its pins and elsewhere."""
    at_pins = f"it leaves {worst_left(rest):.2f} st at the pins"
    if rest.elsewhere_stops is None:
        return f"{at_pins}; what it does elsewhere a single pin cannot say"
    low, high = rest.span_stops
    return (
        f"{at_pins} and may leave {rest.elsewhere_stops:.2f} st in other things from {low:+.1f} to "
        f"{high:+.1f} st"
    )


def worst_left(rest: Remainder) -> float:
    """The most that is left in any channel of any pin after moves and CDL, in stops."""
    return float(np.max(np.abs(rest.left_stops)))
