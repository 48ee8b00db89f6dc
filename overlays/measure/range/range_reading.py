"""What is said of a range: its extremes, where they lie, and what room is left around them."""

from dataclasses import dataclass, field

from overlays.measure.counting.clip import NOWHERE, FlatTop, Levels, Three
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.spot import SpotPlace, SpotReading
from overlays.wording.reasons import Bound, Reason


@dataclass(frozen=True, slots=True)
class Thing:
    """The brightest or darkest thing that matters: a window on it, and what it reads.

    `stops` is None where the thing has no light above black; of a darkest thing whose noise is cut
    off it is the most that it may have. `spot` is the whole reading, of the frame and yardstick of
    that moment.

    Examples
    --------
    >>> Thing(column=8, row=8, size=8, stops=-4.0, percent=3.1).bound is None
    True
    """

    column: int
    row: int
    size: int
    stops: float | None
    percent: float
    spot: SpotReading | None = field(default=None, compare=False, repr=False)

    @property
    def bound(self) -> Bound | None:
        """Whether `stops` is no more than a bound, as far as its spot tells."""
        if self.spot is None:
            return None
        if self.spot.unknown is Reason.CUT_OFF:
            return Bound.AT_MOST
        # Of what is clipped and cut off there is no upper bound.
        return Bound.AT_LEAST if self.spot.bound is Bound.AT_LEAST else None


@dataclass(frozen=True, slots=True)
class RangeReading:
    """How the picture lies between clip and floor.

    Attributes
    ----------
    brightest, darkest:
        The extremes, specks ignored.
    headroom_stops, footroom_stops:
        Stops from the brightest up to the clip and from the darkest down to the floor; None where
        they cannot be known (a warning says why). Headroom is that of the fullest channel, and 0
        where any channel of the brightest is clipped; None where
        one is `suspect`. Footroom is None too where the darkest is only a bound, or has no ±.
    clipped_rgb:
        Shares of the picture's pixels at or above the clip in R', G', B', ceilings that were found
        counted as the clip.
    in_band:
        Share of the picture inside the band asked for, or None.
    warnings:
        Plain sentences.
    flat_top:
        The camera's ceilings below the profile's clip, as they were found; they are the clip.
    doubts:
        Levels at which the camera may clip, for all that this one picture tells.
    suspect:
        Channels ("RB") in which the brightest thing is as even there as few things are.
    flat_top_here:
        Those that this frame itself shows; for `CeilingMemory`.
    fullest:
        The channel ("R", "G" or "B") whose headroom is told; empty where it is not known.
    clipped_channels:
        The channels ("RB") in which the brightest thing is clipped.
    headroom_rgb:
        Stops from the brightest thing's R, G, B up to their clips; None for one without light.
    clip_percents:
        The clip of R', G', B' that all this goes by.
    peaks_percent:
        Levels that things (no specks) reach in R', G', B', in percent; for `CeilingMemory`.
    yard:
        What the extremes were read with, under the ceilings.
    """

    brightest: Thing
    darkest: Thing
    headroom_stops: float | None
    footroom_stops: float | None
    clipped_rgb: tuple[float, float, float]
    in_band: float | None
    warnings: tuple[str, ...]
    flat_top: FlatTop | None = None
    doubts: Levels = NOWHERE
    suspect: str = ""
    flat_top_here: FlatTop | None = None
    fullest: str = ""
    clipped_channels: str = ""
    headroom_rgb: tuple[float | None, float | None, float | None] = (None, None, None)
    clip_percents: Three = (100.0, 100.0, 100.0)
    peaks_percent: Three = (0.0, 0.0, 0.0)
    yard: Yardstick | None = field(default=None, compare=False, repr=False)

    def spots(self, yard: Yardstick) -> tuple[SpotReading, SpotReading] | None:
        """The brightest and the darkest as they were read, if it was with this yardstick.

        Parameters
        ----------
        yard:
            Under the ceilings.

        Returns
        -------
        tuple[SpotReading, SpotReading] | None
            None where they would have to be read again.

        Examples
        --------
        >>> from overlays.measure.counting.census import Wants, take_census
        >>> from overlays.measure.counting.example_yards import LOG, VIDEO
        >>> from overlays.measure.range.range import read_range
        >>> from overlays.signal.example_frames import grey_frame
        >>> frame = grey_frame([[420, 496]], cell=16)
        >>> found = read_range(frame, LOG, take_census(frame, LOG, Wants.LEVELS | Wants.CLIPPING))
        >>> round(found.spots(LOG)[0].stops, 1), found.spots(VIDEO)
        (1.0, None)
        """
        bright, dark = self.brightest.spot, self.darkest.spot
        if bright is None or dark is None or self.yard is None or not self.yard.reads_as(yard):
            return None
        return bright, dark


@dataclass(frozen=True, slots=True)
class Extremes:
    """Where the extremes of a picture lie, and what was known of its camera's ceilings.

    Attributes
    ----------
    brightest, darkest:
        The windows on them.
    flat_top, doubts:
        As of `RangeReading`.
    suspect:
        Channels of which it is doubted whether the brightest is clipped, of "RGB".

    Examples
    --------
    >>> from overlays.measure.counting.census import Wants, take_census
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.range.range import read_range
    >>> from overlays.signal.example_frames import grey_frame
    >>> frame = grey_frame([[420, 496]], cell=16)
    >>> census = take_census(frame, LOG, Wants.LEVELS | Wants.CLIPPING)
    >>> at = Extremes.of(read_range(frame, LOG, census))
    >>> at.darkest.column < 16 <= at.brightest.column
    True
    """

    brightest: SpotPlace
    darkest: SpotPlace
    flat_top: FlatTop | None = None
    doubts: Levels = NOWHERE
    suspect: str = ""

    @classmethod
    def of(cls, found: RangeReading) -> "Extremes":
        """Those of a picture that was looked through.

        Parameters
        ----------
        found:
            What was found.

        Returns
        -------
        Extremes
            Where it was found.
        """
        bright, dark = (
            SpotPlace(thing.column, thing.row, thing.size)
            for thing in (found.brightest, found.darkest)
        )
        return cls(bright, dark, found.flat_top, found.doubts, found.suspect)
