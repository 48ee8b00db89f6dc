"""All that a screen shows at one moment, as the loop hands it to the painter."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum

from overlays.draw.layout.monitor import PLAIN, Monitor
from overlays.draw.layout.views import Over, TraceKind, View
from overlays.draw.moment.layers import EvennessMap, Said
from overlays.draw.moment.lineup import Lineup
from overlays.draw.moment.report import Report, Tone
from overlays.measure.counting.bands import CodeBand
from overlays.measure.counting.census import Census
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.expose.side import Goal
from overlays.measure.range.range_reading import RangeReading
from overlays.measure.spot.spot import SpotPlace, SpotReading
from overlays.signal.frame import Frame

SIMULATED = "simulated"
"""Stands beside what no camera sent."""

BETWEEN = "  ·  "


class Face(Enum):
    """How far what is shown may be believed."""

    STARTING = "starting"
    """No frame yet."""
    LIVE = "live"
    HELD = "hold"
    """A frame stopped on purpose; its numbers are its own."""
    STALE = "stale"
    """Frames have stopped coming: the picture is old, numbers are withdrawn."""
    STALLED = "stalled"
    """Something between the feed and the screen hangs: as with STALE, and it is named."""
    LAMP = "lamp stuck"
    """Live, but the lamp beside the screen no longer says so."""
    LOCKED = "locked"
    """Live, and takes no presses but what its preset allows."""
    LOST = "no signal"
    """The feed says why there is nothing."""


BELIEVED = frozenset({Face.LIVE, Face.HELD, Face.LAMP, Face.LOCKED})
"""Faces under which numbers may be read."""
MOVING = frozenset({Face.LIVE, Face.LAMP, Face.LOCKED})
"""Faces of a picture that is live."""
FROZEN = frozenset({Face.STALE, Face.STALLED})
"""Faces of a picture that no longer moves although nobody stopped it."""


@dataclass(frozen=True, slots=True)
class StripeShown:
    """One stripe of the profile.

    Attributes
    ----------
    words:
        The band as a person reads it.
    codes:
        The band in codes; None where no code of the signal lies in it.
    share:
        Of the picture inside it, 0..1, or None where not counted.
    """

    words: str
    codes: CodeBand | None
    share: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Measured:
    """A frame and what was counted and read on it.

    `spot` and `range` are None where they could not be taken; they may be a tenth of a second
    older than the frame, since nobody reads numbers faster. `stripes` are those of the profile on
    this frame's signal. `said` is what the instrument in `view` says, `answer` what it found;
    `figures` are what each view says in short, by its name, while the index is shown.
    """

    frame: Frame
    yard: Yardstick
    census: Census
    place: SpotPlace
    spot: SpotReading | None
    range: RangeReading | None
    stripes: tuple[StripeShown, ...] = ()
    said: Said | None = None
    answer: object = None
    view: View | None = None
    figures: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Source:
    """Where the frames come from and how they are read, in words.

    `is_simulated` where no camera is behind them: then every reading says so. `name` is that of the
    feed as it was asked for, which `feed` describes.
    """

    profile: str
    curve: str
    feed: str
    is_simulated: bool = False
    name: str = ""

    @property
    def brief(self) -> str:
        """The feed in the fewest letters: the bench without its options, a file without folders."""
        return self.name.partition(":")[0] if self.is_simulated else self.name.rpartition("/")[2]

    def marked(self, words: str) -> str:
        """Words that stand beside a reading; they say where it is no camera's."""
        return f"{words}{BETWEEN}{SIMULATED}" if self.is_simulated else words

    @property
    def read_as(self) -> str:
        """Profile and curve; the curve once where the profile is called after it."""
        if self.curve in self.profile:
            return self.profile
        return f"{self.profile}{BETWEEN}{self.curve}"


@dataclass(frozen=True, slots=True)
class Alert:
    """Something about the machine itself that matters now, and what to do about it.

    `tone` is ALARM where the picture or what is kept is in danger, else PLAIN. `name` is what it is
    in a word or two, to be read from two metres; empty where it can wait until one is near.
    """

    words: str
    tone: Tone = Tone.PLAIN
    name: str = ""


@dataclass(frozen=True, slots=True)
class RailLabel:
    """What stands over one of the four buttons: what pressing it does, and what holding it does."""

    pressed: str = ""
    held: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Shown:
    """One moment.

    Attributes
    ----------
    measured:
        The frame to show, or None before the first.
    face, face_words:
        Whether it is live, and what is to be said where it is not.
    stripes:
        Of the profile, in its order; `selected` is the one that nudging moves, `painted` whether
        they are on the picture.
    note:
        Something that has just happened, for a few seconds; empty where nothing has.
    alert:
        The machine's worst trouble for as long as it lasts; None where there is none.
    help:
        Keys and what they do, where help is asked for; else empty.
    goal:
        Where the spot should be.
    turn:
        Goes up with time: warnings that have no room beside others take turns by it.
    monitor:
        How the picture is shown: which view transform, turned, magnified and so on.
    rail:
        The labels over the four buttons; empty while the rail rests.
    index:
        Names of all views while they are shown in place of one, in the order of the buttons.
    lineup:
        What the panel itself is set by, while that is shown in place of the feed.
    """

    view: View
    trace: TraceKind
    measured: Measured | None
    face: Face
    face_words: str
    source: Source
    stripes: tuple[StripeShown, ...] = ()
    selected: int = 0
    painted: bool = True
    warnings: tuple[str, ...] = ()
    note: str = ""
    alert: Alert | None = None
    help: tuple[tuple[str, str], ...] = ()
    turn: int = 0
    monitor: Monitor = PLAIN
    goal: Goal = field(default_factory=Goal)
    rail: tuple[RailLabel, ...] = ()
    index: tuple[str, ...] = ()
    lineup: Lineup | None = None

    @property
    def readable(self) -> Measured | None:
        """What numbers may be taken from: nothing while the picture is frozen or lost."""
        return self.measured if self.face in BELIEVED else None

    @property
    def report(self) -> Report | None:
        """What the view's instrument says, if it may be believed.

        A view that was just turned to has none yet: another's is not its own.
        """
        seen = self.readable
        is_own = seen is not None and seen.view in {None, self.view}
        return seen.said.report if seen is not None and seen.said is not None and is_own else None

    @property
    def is_striped(self) -> bool:
        """Whether the profile's stripes lie on the picture.

        They do not over colours that are to be judged, nor over maps and edges, where they would be
        in the way.
        """
        said = None if self.measured is None else self.measured.said
        is_map = said is not None and said.layer(EvennessMap) is not None
        is_plain = not (is_map or self.monitor.stop_map or self.monitor.has_edges)
        return self.painted and Over.STRIPES in self.view.over and is_plain
