"""What advice finds."""

from dataclasses import dataclass

from firmware.answers.origin import Origin
from firmware.instruments.advice.settings import Standing
from overlays.measure.expose.advice import Move
from overlays.measure.expose.advice_words import main_words
from overlays.measure.range.forecast import Forecast
from overlays.measure.spot.spot import SpotReading


@dataclass(frozen=True, slots=True, eq=False)
class AdviceAnswer:
    """Everything that is said of one exposure.

    Attributes
    ----------
    origin, standing:
        Of the frame; where the camera stands, and the target.
    spot:
        The card; None where it cannot be read.
    off_stops, pm:
        How far it is above the target; None where that cannot be told, and then `why_not` says why.
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
    off_stops: float | None = None
    pm: float | None = None
    why_not: str = ""
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
        """The advice in one sentence."""
        return main_words(self.off_stops, self.moves, self.together, self.standing.kit)

    @property
    def warnings(self) -> tuple[str, ...]:
        """All there is to be said besides."""
        out = list(self.origin.warnings)
        if self.spot is not None:
            out += self.spot.warnings
        out += self.standing.warnings
        if self.why_not:
            out.append(self.why_not)
        if self.forecast is not None:
            out += self.forecast.warnings
        return tuple(dict.fromkeys([*out, *self.notes]))
