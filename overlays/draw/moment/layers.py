"""What an instrument says of a moment, as plain values: no words are set and nothing is drawn here.

A report goes into the column beside the picture; a layer says what is laid over the picture, takes
the place of the trace, stands behind it, or fills the panel beside it. How a layer looks is decided
by the painter's tables, by its type.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    # Of each layer one instrument knows: whoever reads a spot need not load what reads charts.
    import numpy as np
    import numpy.typing as npt

    from overlays.draw.moment.report import Report
    from overlays.measure.balance.balance import BalanceSettings
    from overlays.measure.chart.chart_reading import ChartReading
    from overlays.measure.chart.place import Corners
    from overlays.measure.counting.census import Census
    from overlays.measure.counting.kernels import Counts
    from overlays.measure.pins.lighting import Evenness
    from overlays.measure.spot.spot import SpotPlace
    from overlays.measure.watch.change import Change, Happening
    from overlays.measure.watch.history import Stretch
    from overlays.signal.signal import Signal


@dataclass(frozen=True, slots=True)
class PinShown:
    """A pin: where it is, and what is written on its flag."""

    place: SpotPlace
    label: str


@dataclass(frozen=True, slots=True)
class Lane:
    """One pin: its label, its history and (time in ns, kind) of its events."""

    label: str
    stretch: Stretch | None
    events: tuple[tuple[int, Change | Happening], ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Strip:
    """All lanes, and the tolerance of what they show, in stops."""

    lanes: tuple[Lane, ...]
    tolerance_stops: float
    seconds: float


@dataclass(frozen=True, slots=True, eq=False)
class Ghost:
    """Counts of another moment or camera, to be drawn faintly behind the live ones.

    Attributes
    ----------
    signal:
        What its codes meant; the live feed may send others.
    levels, chroma:
        As in `Census`; `chroma` is None where none was counted, as of R'G'B'.
    """

    signal: Signal
    levels: Counts
    chroma: npt.NDArray[np.uint32] | None

    @classmethod
    def of(cls, census: Census, signal: Signal) -> Ghost:
        """A copy of a census, whose own arrays are used again for the next frame."""
        chroma = census.chroma
        return cls(signal, census.levels.copy(), None if chroma is None else chroma.copy())


@dataclass(frozen=True, slots=True, eq=False)
class ChromaShown:
    """How the chroma trace is shown."""

    settings: BalanceSettings
    gain: int = 1


@dataclass(frozen=True, slots=True, eq=False)
class ChartShown:
    """A chart: its reading and corners as far as there are any, and the corner that is moved."""

    reading: ChartReading | None
    corners: Corners | None
    chosen: int | None


@dataclass(frozen=True, slots=True)
class PinFlags:
    """The pins, to be drawn on the picture in the order of their numbers."""

    pins: tuple[PinShown, ...]


@dataclass(frozen=True, slots=True, eq=False)
class EvennessMap:
    """How evenly an area is lit, to be laid over the picture in place of its stripes."""

    even: Evenness


Layer = PinFlags | Ghost | Strip | ChromaShown | ChartShown | EvennessMap

Kind = TypeVar("Kind", PinFlags, Ghost, Strip, ChromaShown, ChartShown, EvennessMap)


@dataclass(frozen=True, slots=True, eq=False)
class Said:
    """All that an instrument says of a moment.

    Attributes
    ----------
    report:
        For the column; None where the view has none.
    layers:
        At most one of each kind.
    """

    report: Report | None = None
    layers: tuple[Layer, ...] = ()

    def layer(self, kind: type[Kind]) -> Kind | None:
        """The layer of a kind, or None."""
        return next((each for each in self.layers if isinstance(each, kind)), None)
