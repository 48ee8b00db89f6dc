"""What advice finds."""

from dataclasses import dataclass

from firmware.answers.origin import Origin
from firmware.instruments.advice.camera_standing import Standing
from overlays.measure.expose.advice import Move
from overlays.measure.expose.advice_words import main_words
from overlays.measure.range.forecast import Forecast
from overlays.measure.range.range_reading import RangeReading
from overlays.measure.spot.spot import SpotReading
from overlays.wording.reasons import Reason

REMEDIES = {
    Reason.CLIPPED: "the spot is clipped: take light off until it is not",
    Reason.CUT_OFF: "the spot is cut off below: bring light on it until it is not",
    Reason.NO_LIGHT: "the spot has no light above black: bring light on it, or open up",
    Reason.OUT_OF_REACH: "no light would bring the spot to this target: is it one of this curve?",
    Reason.NOT_READ: "the spot cannot be read: move it into the picture",
}
"""What to do where how far the spot is off cannot be told."""
READ_AGAIN = "it may be clipped, and brighter than it reads: read it again then"


@dataclass(frozen=True, slots=True, eq=False)
class AdviceAnswer:
    """Everything that is said of one exposure.

    Attributes
    ----------
    origin, standing:
        Of the frame; where the camera stands, and the target.
    spot, range:
        The card, and the frame's extremes; None where they cannot be read.
    off_stops, pm:
        How far it is above the target; None where that cannot be told, and then `why` says why.
    moves, together:
        Alternatives, best first, and moves to be made together where no single one will do.
    change_stops, forecast:
        Of the first of them, or of the light that is missing where no setting is known, and what
        the extremes will be then; None where they cannot be found.
    notes:
        On where the camera stands now.
    """

    origin: Origin
    standing: Standing
    spot: SpotReading | None
    range: RangeReading | None = None
    off_stops: float | None = None
    pm: float | None = None
    why: Reason | None = None
    moves: tuple[Move, ...] = ()
    together: tuple[Move, ...] = ()
    change_stops: float = 0.0
    forecast: Forecast | None = None
    notes: tuple[str, ...] = ()

    @property
    def when(self) -> str:
        """Of what the forecast is: of now where nothing is to be moved."""
        return "then" if self.change_stops else "now"

    @property
    def words(self) -> str:
        """The advice in one sentence; what to do first where the spot gives no reading."""
        if self.why is not None:
            return self.remedy
        said = main_words(self.off_stops, self.moves, self.together, self.standing.kit)
        return f"{said}; {READ_AGAIN}" if self.is_least else said

    @property
    def is_least(self) -> bool:
        """Whether the spot may be brighter than it reads, and so is off by something else."""
        return self.spot is not None and self.spot.unknown is Reason.PERHAPS_CLIPPED

    @property
    def remedy(self) -> str:
        """What to do where how far the spot is off cannot be told; nothing where it can."""
        return "" if self.why is None else REMEDIES[self.why]

    @property
    def warnings(self) -> tuple[str, ...]:
        """All there is to be said besides."""
        out = list(self.origin.warnings)
        if self.spot is not None:
            out += self.spot.warnings
        out += self.standing.warnings
        if self.why is not None:
            out.append(self.remedy)
        if self.forecast is not None:
            out += self.forecast.warnings
        return tuple(dict.fromkeys([*out, *self.notes]))
