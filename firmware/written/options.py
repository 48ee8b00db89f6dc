"""What a user asked for on the command line, as plain values handed from `cli` to the rest."""

from dataclasses import dataclass, field
from enum import Enum
from pathlib import Path

from firmware.feeds.base import SignalOverride
from firmware.screen.rotation import Rotation
from overlays.signal.levels import Carriage
from overlays.signal.signal import Matrix, Range


class Drawing(Enum):
    """Where the picture goes."""

    WINDOW = "window"
    """On the display there is."""
    FRAMEBUFFER = "framebuffer"
    """Into the kernel's framebuffer of a panel that has no graphics processor."""
    UNSEEN = "unseen"
    """Into memory only, for a screenshot or a measured run on a machine without a display."""


class Output(Enum):
    """Who reads an answer."""

    TABLE = "table"
    """A person."""
    JSON = "json"
    """A program."""


@dataclass(frozen=True, slots=True)
class Overrides:
    """What stands on the command line against the profile; None leaves it to the profile."""

    curve: str | None = None
    carriage: Carriage | None = None
    range: Range | None = None
    matrix: Matrix | None = None

    @property
    def signal(self) -> SignalOverride:
        """The part that concerns the feed's signal."""
        return SignalOverride(self.range, self.matrix)


@dataclass(frozen=True, slots=True)
class RunOptions:
    """What `midgrey run` was asked for.

    Attributes
    ----------
    feed:
        As the user spells it; None takes the first feed found, else the bench.
    profile:
        Name or path; None where none was given.
    overrides:
        Curve, carriage, range and matrix from the command line.
    size:
        (columns, rows) of the window; None takes the display's own, or 1280x720 unseen.
    frames:
        End after so many painted frames; None runs until stopped.
    view:
        Name of the first view; None takes the usual one.
    screenshot:
        PNG of the last painted frame.
    stats:
        JSON of counts and times, written at the end.
    drawing:
        Whether there is a display to draw on.
    framebuffer:
        Node of the panel, where `drawing` says that it is drawn on.
    rotation:
        How the picture is turned, for a panel that is mounted turned.
    """

    feed: str | None = None
    profile: str | None = None
    overrides: Overrides = field(default_factory=Overrides)
    size: tuple[int, int] | None = None
    frames: int | None = None
    view: str | None = None
    screenshot: Path | None = None
    stats: Path | None = None
    drawing: Drawing = Drawing.WINDOW
    framebuffer: Path | None = None
    rotation: Rotation = Rotation.NONE


@dataclass(frozen=True, slots=True)
class ReadOptions:
    """What `midgrey read` was asked for.

    Attributes
    ----------
    feed:
        As the user spells it.
    profile, overrides:
        As in `RunOptions`.
    spots:
        Each as written, ``X,Y`` or ``X,Y,SIZE``; none reads the centre.
    frame:
        Number of the frame, from 0.
    output:
        Whether a person or a program reads the answer.
    """

    feed: str
    profile: str | None = None
    overrides: Overrides = field(default_factory=Overrides)
    spots: tuple[str, ...] = ()
    frame: int = 0
    output: Output = Output.TABLE


@dataclass(frozen=True, slots=True)
class BalanceOptions:
    """What `midgrey balance` was asked for; as in `ReadOptions` where not said.

    Attributes
    ----------
    spot:
        As written; None takes the centre.
    gamut:
        Name of a published gamut over the profile's; None where none was given.
    dial, tint:
        What the camera is set to, as written; None leaves both to the profile.
    """

    feed: str
    profile: str | None = None
    overrides: Overrides = field(default_factory=Overrides)
    spot: str | None = None
    gamut: str | None = None
    dial: str | None = None
    tint: str | None = None
    frame: int = 0
    output: Output = Output.TABLE


@dataclass(frozen=True, slots=True)
class ChartOptions:
    """What `midgrey chart` was asked for; as in `BalanceOptions` where not said.

    Attributes
    ----------
    corners:
        As written, eight numbers; None looks for the chart.
    reference:
        A CGATS text of the chart's colours; None takes the charts that are built in.
    layout:
        Columns and rows of that chart as written, 6x4; None reads them from the file.
    scaling:
        Word of `overlays.measure.chart.chart.Scaling`.
    against, against_profile:
        A second feed and profile for the same chart; a feed alone keeps the profile, a profile
        alone the feed.
    picture:
        PNG to be drawn of it.
    """

    feed: str
    profile: str | None = None
    overrides: Overrides = field(default_factory=Overrides)
    corners: str | None = None
    reference: Path | None = None
    layout: str | None = None
    gamut: str | None = None
    scaling: str = "neutrals"
    against: str | None = None
    against_profile: str | None = None
    picture: Path | None = None
    frame: int = 0
    output: Output = Output.TABLE
