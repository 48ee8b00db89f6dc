"""What a neutral card says of the balance."""

from dataclasses import dataclass

from firmware.answers.origin import (
    Origin,
)
from overlays.draw.moment.layers import Ghost
from overlays.errors import OverlayError
from overlays.measure.balance.balance import BalanceReading, BalanceSettings
from overlays.measure.balance.balance_advice import NOT_DIALLED

UNDIALLED = f"{NOT_DIALLED} with --dial"


@dataclass(frozen=True, slots=True, eq=False)
class BalanceAnswer:
    """One card.

    Attributes
    ----------
    origin:
        Of the frame.
    settings:
        What the balance is judged by.
    reading:
        Of the card, which may refuse to be read; None where there is no spot to read, and then
        `fault` says why.
    ghost:
        Counts kept from another moment; None where none are.
    gain:
        Of the chroma trace.
    """

    origin: Origin
    settings: BalanceSettings
    reading: BalanceReading | None
    fault: OverlayError | None = None
    ghost: Ghost | None = None
    gain: int = 1

    @property
    def warnings(self) -> tuple[str, ...]:
        """Of feed, profile, frame, gamut and card, and what cannot be known."""
        out = [*self.origin.warnings, *self.origin.gamut_warnings]
        if self.reading is not None:
            out += self.reading.warnings
            if self.reading.refusal is not None:
                out.append(self.reading.refusal)
            elif self.settings.dial is None:
                out.append(UNDIALLED)
        return tuple(dict.fromkeys(out))
