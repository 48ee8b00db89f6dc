"""What a match finds."""

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np

from firmware.answers.origin import Origin
from overlays.draw.moment.layers import Ghost, PinFlags
from overlays.measure.balance.balance import BalanceSettings
from overlays.measure.match.match import Match, Remainder, remainder
from overlays.measure.spot.spot import SpotReading


@dataclass(frozen=True, slots=True, eq=False)
class Taken:
    """Camera A.

    Attributes
    ----------
    number:
        Which press took it.
    origin:
        Of the frame it was taken from.
    spots:
        Its pins by number.
    ghost:
        Its counts.
    """

    number: int
    origin: Origin
    spots: dict[int, SpotReading]
    ghost: Ghost


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
    cdl:
        The file that a command was asked to write.
    """

    origin: Origin
    judged: BalanceSettings
    compared: Compared | None
    has_chroma: bool
    flags: PinFlags
    gain: int
    cdl: Path | None = None

    @cached_property
    def rest(self) -> Remainder | None:
        """What remains, fitted when it is first asked for; None where no pin can be compared."""
        if self.compared is None:
            return None
        return remainder(self.compared.match, self.origin.profile.curve)

    @cached_property
    def warnings(self) -> tuple[str, ...]:
        """What makes the match less certain."""
        if self.compared is None:
            return ()
        dial = self.judged.dial
        out = [f"A: {each}" for each in self.compared.a.origin.warnings]
        out += [f"B: {each}" for each in self.origin.warnings]
        out += [*(() if dial is None else self.origin.gamut_warnings)]
        out += self.compared.match.warnings
        if dial is None:
            out.append("dial_to unknown: say what B's balance is dialled to with --dial-b")
        if self.cdl is not None and self.rest is None:
            out.append(f"{self.cdl} was not written: no pin can be compared")
        return tuple(dict.fromkeys(out))


def worst_left(rest: Remainder) -> float:
    """The most that is left in any channel of any pin after moves and CDL, in stops."""
    return float(np.max(np.abs(rest.left_stops)))
