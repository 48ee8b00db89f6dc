"""What is read off a chart, and what it is scaled to."""

from dataclasses import dataclass
from enum import Enum

import numpy as np

from overlays.measure.chart.chart_patch import PatchReading
from overlays.measure.chart.lit import ChartEvenness
from overlays.measure.chart.place import Corners
from overlays.measure.chart.reference import ChartReference
from overlays.measure.chart.turn import ChartHeld


class Scaling(Enum):
    """How the measured light is brought to the reference's exposure and white."""

    NEUTRALS = "neutrals"
    """R, G and B each by the mean ratio of the neutral row: what is left is the camera's colour."""
    EXPOSURE = "exposure"
    """All three by one factor: an error of the balance stays in every patch."""


@dataclass(frozen=True, slots=True)
class ChartReading:
    """A whole chart.

    Attributes
    ----------
    corners:
        In the chart's own order, from the outer corner of the first patch.
    gains:
        What linear R, G, B were multiplied by before they were compared.
    neutrals:
        Indices into `patches` of the neutral row, lightest first.
    evenness:
        Of the light across the chart.

    Examples
    --------
    >>> from overlays.measure.chart.chart import read_chart
    >>> from overlays.measure.chart.reference import CHART24
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import colour_frame
    >>> from overlays.signal.gamuts import published_gamut
    >>> gamut = published_gamut("BT.709")
    >>> levels = VIDEO.carried.nominal(np.maximum(CHART24.linear(gamut), 0.0)).reshape(4, 6, 3)
    >>> frame = colour_frame((100.0 * levels).tolist(), cell=16)
    >>> corners = Corners(((0.0, 0.0), (96.0, 0.0), (96.0, 64.0), (0.0, 64.0)))
    >>> read_chart(frame, VIDEO, gamut, CHART24, corners).worst.name
    'cyan'
    """

    reference: ChartReference
    corners: Corners
    held: ChartHeld
    scaling: Scaling
    gains: tuple[float, float, float]
    patches: tuple[PatchReading, ...]
    neutrals: tuple[int, ...]
    evenness: ChartEvenness
    warnings: tuple[str, ...]

    @property
    def mean_de00(self) -> float:
        """Mean CIEDE2000 of all patches that are not clipped."""
        return float(np.mean([patch.de00 for patch in self.patches if patch.de00 is not None]))

    @property
    def read_of(self) -> tuple[int, int] | None:
        """How many patches could be read, of how many; None where it is all of them."""
        read = sum(patch.de00 is not None for patch in self.patches)
        return None if read == len(self.patches) else (read, len(self.patches))

    @property
    def worst(self) -> PatchReading:
        """The patch furthest from where it should be; clipped ones are left out."""
        return max(self.patches, key=lambda patch: patch.de00 or 0.0)
