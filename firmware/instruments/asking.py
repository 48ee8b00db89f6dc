"""How a command gets what its instrument measures: one frame of a feed, as a scene."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from enum import Enum, auto

from firmware.clock import Clock
from firmware.feeds.base import Feed, Pace
from firmware.instruments.desk import Desk, PinPlace, pins_of
from firmware.instruments.scene import KnowsTruth, Scene, Truth
from firmware.opening.beside import EACH_SIDE, Beside, has_frames_beside
from firmware.opening.one_frame import take_frame
from firmware.opening.overrides import Overrides, overrides_of
from firmware.opening.read_with import ReadWith
from firmware.opening.session import Session, open_session
from firmware.written.options import FrameOptions
from firmware.written.spot_place import CENTRE, WrittenSpot, parse_spot, usual_size
from overlays.measure.counting.census import Wants, take_census
from overlays.measure.range.range import read_range
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.frame import Frame

ALL = Wants.LEVELS | Wants.CLIPPING | Wants.RGB | Wants.CHROMA
"""Counted of the one frame of a command, whatever the instrument."""

BEHIND_S = 1.0
"""How long a frame behind another is waited for."""


class Unplaced(Enum):
    """What is read where a command names no spot."""

    CENTRE = auto()
    PINS = auto()
    """The profile's pins; where it has none, the centre, and there are no pins."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """One frame of one feed, and what of it.

    Attributes
    ----------
    feed, profile, overrides, frame:
        As in `open_session`, and the frame's number from 0.
    at, unplaced:
        Spots as written, and what is read where there are none.
    gamut:
        A published gamut, over the profile's.
    """

    feed: str
    profile: str | None = None
    overrides: Overrides = field(default_factory=Overrides)
    frame: int = 0
    at: tuple[str, ...] = ()
    unplaced: Unplaced = Unplaced.CENTRE
    gamut: str | None = None


def wanted_of(
    options: FrameOptions,
    at: Sequence[str] = (),
    unplaced: Unplaced = Unplaced.CENTRE,
    gamut: str | None = None,
) -> Wanted:
    """What a command asks for; raises `ArgumentError` where an option cannot be understood."""
    return Wanted(
        options.feed,
        options.profile,
        overrides_of(options),
        options.frame,
        tuple(at),
        unplaced,
        gamut,
    )


@dataclass(frozen=True, slots=True)
class Opener:
    """Opens feeds for commands.

    Attributes
    ----------
    clock:
        Of the feeds.
    say:
        Prints a line at once, where a person reads; for answers that take their time.
    keep:
        Is shown each scene while its frame is lent.
    """

    clock: Clock
    say: Callable[[str], None] = lambda _line: None
    keep: Callable[[Scene], None] = lambda _scene: None

    @contextmanager
    def scene(self, wanted: Wanted) -> Iterator[Scene]:
        """Open a feed, measure one frame of it, and close it again.

        Raises
        ------
        FirmwareError, OverlayError, OSError
            Feed, profile, frame or a spot cannot be had; one sentence says why.
        """
        with self.followed(wanted) as (scene, _):
            yield scene

    @contextmanager
    def followed(self, wanted: Wanted) -> Iterator[tuple[Scene, Iterator[Frame]]]:
        """The same, and the frames behind it, each lent until the next is asked for.

        Raises
        ------
        FirmwareError, OverlayError, OSError
            As of `scene`.
        """
        written = [parse_spot(text) for text in wanted.at]
        with self.session(wanted, Pace.STEP) as session:
            # A wrong name is wrong before a frame is waited for.
            beside = Beside(session.read_with(wanted.gamut))
            is_footage = has_frames_beside(session.feed)

            def passed(frame: Frame, left: int) -> None:
                if is_footage and left <= EACH_SIDE:
                    beside.look(frame)

            frame = take_frame(session.feed, wanted.frame, self.clock, passed=passed)
            try:
                if is_footage:
                    beside.look_on(session.feed)
                read_with = session.read_with(wanted.gamut)
                scene = scene_of(frame, read_with, written, wanted.unplaced, beside=beside)
                scene.truth = truth_of(session.feed)
                self.keep(scene)
                yield scene, _behind(session.feed, read_with)
            finally:
                session.feed.release(frame)

    @contextmanager
    def session(self, wanted: Wanted, pace: Pace) -> Iterator[Session]:
        """Open a feed, and close it again."""
        session = open_session(
            wanted.feed, wanted.profile, wanted.overrides, clock=self.clock, pace=pace
        )
        try:
            yield session
        finally:
            session.feed.close()


def _behind(feed: Feed, read_with: ReadWith) -> Iterator[Frame]:
    """Frames as they come next, as they are read, until none does."""
    while isinstance(got := feed.read(BEHIND_S), Frame):
        try:
            yield read_with.frame(got)
        finally:
            feed.release(got)


def truth_of(feed: Feed) -> Callable[[SpotPlace, Frame], Truth] | None:
    """What tells the truth of a spot, where a feed knows it."""
    return feed.truth if isinstance(feed, KnowsTruth) else None


def scene_of(
    frame: Frame,
    read_with: ReadWith,
    written: Sequence[WrittenSpot],
    unplaced: Unplaced = Unplaced.CENTRE,
    wants: Wants = ALL,
    beside: Beside | None = None,
) -> Scene:
    """One frame counted and read, with spots where they were asked for.

    `beside` are the frames beside it, whose ceilings are its own as long as nothing in it stands
    above them.

    Raises
    ------
    SpotOutsideError
        A spot does not lie wholly inside.
    """
    profile, frame = read_with.profile, read_with.frame(frame)
    yard = read_with.yardstick(frame.signal, frame.shift)
    size = usual_size(frame.rows, profile.spot_percent)
    pins = tuple(PinPlace("", each.place(frame.columns, frame.rows, size)) for each in written)
    if not pins and unplaced is Unplaced.PINS:
        pins = pins_of(profile, frame.columns, frame.rows)
    place = pins[0].place if written else CENTRE.place(frame.columns, frame.rows, size)
    census = take_census(frame, yard, wants)
    known = None if beside is None else beside.known
    found = read_range(frame, yard, census, profile.speck_percent, known=known)
    if beside is not None and beside.is_refuted_by(found):
        found = read_range(frame, yard, census, profile.speck_percent, known=beside.known)
    scene = Scene(
        frame=frame,
        yard=yard.under(found.flat_top, found.doubts),
        census=census,
        read_with=read_with,
        desk=Desk(pins),
        place=place,
        spot=None,
        range=found,
    )
    scene.spot = scene.read(place)
    return scene
