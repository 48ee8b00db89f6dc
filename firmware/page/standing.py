"""What a page shows besides what is measured, as plain values: made by whoever has the state."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from firmware.actions import Press
from firmware.rail.sheet import Sheet
from overlays.draw.layout.monitor import Monitor
from overlays.draw.moment.layers import PinShown
from overlays.draw.moment.report import Report
from overlays.draw.moment.shown import Alert, Face, Source, StripeShown
from overlays.measure.counting.bands import CodeBand
from overlays.measure.counting.census import Census
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.range_reading import RangeReading
from overlays.measure.spot.spot import SpotPlace, SpotReading
from overlays.signal.frame import Frame


@dataclass(frozen=True, slots=True)
class Choice:
    """A label of the first page of the rail: a press, or which list it opens and where in it."""

    label: str
    press: Press | None = None
    opens: str = ""
    section: str = ""


@dataclass(frozen=True, slots=True)
class PageState:
    """What is set, and what can be asked for.

    Attributes
    ----------
    views:
        Names of all.
    pressed, held:
        What stands over the four buttons, pressed and held; None where nothing does.
    sheets:
        Every press by what it is about.
    profiles, profile:
        Titles, and the number of the one in use.
    pins:
        Those that are set, with what stands on their flags.
    is_locked:
        Whether only what is allowed can be asked for.
    places:
        Whether the spot may be placed.
    pins_allowed:
        Whether pins may be set.
    """

    views: tuple[str, ...]
    pressed: tuple[Choice | None, ...] = ()
    held: tuple[Choice | None, ...] = ()
    sheets: tuple[Sheet, ...] = ()
    profiles: tuple[str, ...] = ()
    profile: int = 0
    pins: tuple[PinShown, ...] = ()
    is_locked: bool = False
    places: bool = True
    pins_allowed: bool = True


@dataclass(frozen=True, slots=True, eq=False)
class OnPage:
    """What was painted at a moment, without the frame, which is the feed's again by then.

    `report` is None where the view shows spot and range; all readings are None where numbers are
    withdrawn. `yard` tells what levels mean.
    """

    standing: PageState
    view: str
    face: Face
    face_words: str
    source: Source
    target: str
    warnings: tuple[str, ...]
    note: str
    alert: Alert | None
    stripes: tuple[StripeShown, ...]
    selected: int
    is_painted: bool
    has_report: bool
    number: int | None = None
    size: tuple[int, int] | None = None
    place: SpotPlace | None = None
    spot: SpotReading | None = None
    range: RangeReading | None = None
    report: Report | None = None
    figures: Mapping[str, str] = field(default_factory=dict)
    yard: Yardstick | None = None


@dataclass(frozen=True, slots=True, eq=False)
class PageCopies:
    """Copies of a frame and of its counts, to be made into pictures by another thread."""

    frame: Frame
    yard: Yardstick
    census: Census
    bands: tuple[CodeBand, ...]
    monitor: Monitor
