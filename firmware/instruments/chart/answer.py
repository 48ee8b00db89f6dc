"""What a chart says, or the same under two looks."""

from dataclasses import dataclass

from firmware.answers.origin import (
    Origin,
)
from overlays.errors import OverlayError
from overlays.measure.chart.chart_reading import ChartReading
from overlays.measure.chart.looks import LooksCompared
from overlays.measure.chart.place import Corners


@dataclass(frozen=True, slots=True, eq=False)
class Look:
    """A chart that was read, with what it was read in.

    Attributes
    ----------
    origin:
        Of the frame.
    reading:
        Of the chart.
    """

    origin: Origin
    reading: ChartReading

    @property
    def warnings(self) -> tuple[str, ...]:
        """Of feed, profile, frame, gamut and chart."""
        origin = self.origin
        said = (*origin.warnings, *origin.gamut_warnings, *self.reading.warnings)
        return tuple(dict.fromkeys(said))


@dataclass(frozen=True, slots=True, eq=False)
class ChartAnswer:
    """One chart, or the same under two looks.

    Attributes
    ----------
    origin:
        Of the frame.
    reading:
        None where no chart can be read, and then `fault` says why.
    corners:
        Where the chart is, or is said to be; None where it was not found.
    chosen:
        The corner that is moved by hand, 0 to 3; None while the chart is looked for.
    against, looks:
        The chart under another look, and the two compared; None where one look was asked for.
    """

    origin: Origin
    reading: ChartReading | None
    corners: Corners | None = None
    chosen: int | None = None
    fault: OverlayError | None = None
    against: Look | None = None
    looks: LooksCompared | None = None

    @property
    def look(self) -> Look:
        """The chart as it was read; whoever asks knows that it was."""
        assert self.reading is not None  # a command raises the fault instead
        return Look(self.origin, self.reading)
