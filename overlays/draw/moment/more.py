"""What the views of exposure show besides picture, trace and spot, as plain values."""

from dataclasses import dataclass
from enum import Enum

import numpy as np
import numpy.typing as npt

from overlays.measure.balance.balance import BalanceSettings
from overlays.measure.chart.chart import ChartReading
from overlays.measure.chart.place import Corners
from overlays.measure.counting.census import Census
from overlays.measure.match.match import Match
from overlays.measure.pins.lighting import Evenness
from overlays.measure.spot.spot import SpotPlace
from overlays.measure.watch.change import Change
from overlays.measure.watch.history import Stretch
from overlays.signal.signal import Signal


class Tone(Enum):
    """How much a row asks for."""

    PLAIN = "plain"
    QUIET = "quiet"
    ALARM = "alarm"


@dataclass(frozen=True, slots=True)
class Row:
    """A label with its value at the right; `is_chosen` is what + and − move."""

    label: str
    value: str
    tone: Tone = Tone.PLAIN
    is_chosen: bool = False


@dataclass(frozen=True, slots=True)
class Report:
    """What a view says at a moment.

    Attributes
    ----------
    heading:
        What the main number is of.
    main, beside:
        The number, and its ± and unit.
    words:
        What to do, one sentence.
    tone:
        Of the words.
    rows:
        The rest, most important first.
    notes:
        Sentences in small type.
    """

    heading: str
    main: str
    beside: str
    words: str
    tone: Tone = Tone.PLAIN
    rows: tuple[Row, ...] = ()
    notes: tuple[str, ...] = ()


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
    events: tuple[tuple[int, Change], ...] = ()


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
    levels: npt.NDArray[np.uint16]
    chroma: npt.NDArray[np.uint32] | None

    @classmethod
    def of(cls, census: Census, signal: Signal) -> "Ghost":
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


@dataclass(frozen=True, slots=True, eq=False)
class More:
    """Everything of that kind for one moment.

    Attributes
    ----------
    report:
        What the column beside the picture says; None where nothing could be measured.
    pins:
        To be drawn on the picture.
    ghost:
        What is to be matched, behind the trace and the chroma trace alike; or None.
    strip:
        In place of the trace, or None.
    chroma, chart:
        The instruments of colour, or None.
    evenness:
        To be laid over the picture, or None.
    match:
        What the report of a match is made of, to be saved; or None.
    """

    report: Report | None = None
    pins: tuple[PinShown, ...] = ()
    ghost: Ghost | None = None
    strip: Strip | None = None
    chroma: ChromaShown | None = None
    chart: ChartShown | None = None
    evenness: Evenness | None = None
    match: Match | None = None
