"""The range: brightest and darkest thing that matters, and what room is left to clip and floor.

The brightest thing is the one whose fullest channel is nearest to its clip: a red lamp gives out in
R long before its luma does.
"""

from dataclasses import dataclass, replace

from overlays.measure.counting.bands import CodeBand
from overlays.measure.counting.census import Census, histogram
from overlays.measure.counting.clip import NOWHERE, FlatTop, Levels, Three
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.flat_top import (
    ceilings_of,
    doubt_sentence,
    flat_top_sentence,
    joined,
)
from overlays.measure.range.headroom import (
    clipped_channels,
    footroom_of,
    fullest_place,
    least_room,
    place_of,
    room_by_channel,
    shares_clipped,
    stops_to_clip,
)
from overlays.measure.range.things import highest_window, reached, speck_pixels
from overlays.measure.range.tile_areas import Areas, code_step, look_at
from overlays.measure.spot.spot import SpotPlace, SpotReading, read_spot
from overlays.sharing.crew import ALONE, Crew
from overlays.signal.frame import Frame

SPECK_PERCENT = 0.02
"""Share of the picture below which a thing is a speck that does not matter: 20x20 of 1080p."""

DARK_LEVELS = 24.0
"""Most by which tiles of the darkest thing differ, in 10-bit codes: a third of a stop on most
curves, where noise is widest."""


@dataclass(frozen=True, slots=True)
class Thing:
    """The brightest or darkest thing that matters: a window on it, and what it reads.

    `stops` is None where the thing has no light above black.
    """

    column: int
    row: int
    size: int
    stops: float | None
    percent: float


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
        one is `suspect`.
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


def read_range(  # noqa: PLR0913 - what may be known is said by name
    frame: Frame,
    yard: Yardstick,
    census: Census,
    speck_percent: float = SPECK_PERCENT,
    band: CodeBand | None = None,
    known: FlatTop | RangeReading | None = None,
    *,
    areas: Areas | None = None,
    crew: Crew = ALONE,
) -> RangeReading:
    """Find the extremes of a frame and the room left around them.

    Parameters
    ----------
    frame, yard:
        The frame and what it is measured with, with or without ceilings.
    census:
        Of this frame, with `Wants.LEVELS | Wants.CLIPPING`, better `Wants.RGB` too.
    speck_percent:
        Share of the picture's area that a thing must have to matter.
    band:
        Counts the share of the picture whose luma lies in it.
    known:
        Ceilings found in earlier frames (`CeilingMemory.known`); those of this frame come first.
        Or the range of a frame a moment ago: its ceilings and doubts are taken over, none is looked
        for, which saves most of the time.
    areas:
        What `look_at` saw of this frame; None has it looked at here.
    crew:
        Who looks at the frame; what is found is the same whoever does.

    Returns
    -------
    RangeReading
        Its `flat_top` is what later frames are to be given as `known`.

    Examples
    --------
    >>> from overlays.measure.counting.census import Wants, take_census
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.signal.example_frames import grey_frame
    >>> frame = grey_frame([[420, 496]], cell=16)
    >>> found = read_range(frame, LOG, take_census(frame, LOG, Wants.LEVELS | Wants.CLIPPING))
    >>> round(found.brightest.stops, 1), round(found.darkest.stops, 1)
    (1.0, 0.0)
    """
    areas = look_at(frame, yard, crew) if areas is None else areas
    speck = speck_pixels(areas.pixels, speck_percent)
    if isinstance(known, RangeReading):
        here, doubts, suspect = known.flat_top_here, known.doubts, known.suspect
        top = known.flat_top
    else:
        here, doubts, suspect = ceilings_of(areas, yard, known)
        top = joined(here, known)
    under = yard.under(top, doubts)
    bright = fullest_place(frame, under, areas, stops_to_clip(areas, under), speck)
    step = code_step(yard.signal)
    low = highest_window(-areas.luma, areas.tile**2, speck, (step, DARK_LEVELS))
    at = Extremes(bright, place_of(areas, *low), top, doubts, suspect)
    return replace(
        range_at(frame, yard, census, at, areas),
        in_band=None if band is None else share_in_band(census, band, yard),
        flat_top_here=here,
        peaks_percent=_peaks(areas, speck),
    )


def range_at(
    frame: Frame, yard: Yardstick, census: Census, at: Extremes, areas: Areas | None = None
) -> RangeReading:
    """Read the extremes of a frame where they lie; nothing is looked for.

    Parameters
    ----------
    frame, yard:
        The frame and what it is measured with, with or without ceilings.
    census:
        Of this frame, with `Wants.CLIPPING`, and with `Wants.RGB` where ceilings are known.
    at:
        Where they lie.
    areas:
        The frame in tiles, for shares at a ceiling where the census has no counts of R, G and B.

    Returns
    -------
    RangeReading
        Without what only looking through the picture gives: `flat_top_here`, `peaks_percent`.

    Examples
    --------
    >>> from overlays.measure.counting.census import Wants, take_census
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.signal.example_frames import grey_frame
    >>> frame, at = grey_frame([[420, 496]], 16), Extremes(SpotPlace(24, 8, 8), SpotPlace(8, 8, 8))
    >>> found = range_at(frame, LOG, take_census(frame, LOG, Wants.CLIPPING), at)
    >>> round(found.brightest.stops - found.darkest.stops, 1)
    1.0
    """
    yard, top = yard.under(at.flat_top, at.doubts), at.flat_top
    bright, bright_spot = _thing(frame, yard, at.brightest)
    dark, _ = _thing(frame, yard, at.darkest)
    warnings: list[str] = []
    clipped = clipped_channels(bright_spot)
    rooms = room_by_channel(bright_spot, yard)
    may_clip = bright_spot.may_clip
    suspect = "".join(name for name in may_clip if name in at.suspect)
    headroom, fullest = least_room(rooms, clipped, suspect, warnings)
    if may_clip and not clipped:
        unknown = "headroom unknown: " if headroom is None else ""
        warnings.append(unknown + doubt_sentence(at.doubts, yard))
    footroom = footroom_of(dark.stops, yard, warnings)
    if top is not None:
        warnings.append(flat_top_sentence(top, yard))
    return RangeReading(
        brightest=bright,
        darkest=dark,
        headroom_stops=headroom,
        footroom_stops=footroom,
        clipped_rgb=shares_clipped(census, areas, yard),
        in_band=None,
        warnings=tuple(warnings),
        flat_top=top,
        doubts=at.doubts,
        suspect=suspect,
        fullest=fullest,
        clipped_channels=clipped,
        headroom_rgb=rooms,
        clip_percents=yard.clip_percents,
    )


def _thing(frame: Frame, yard: Yardstick, place: SpotPlace) -> tuple[Thing, SpotReading]:
    spot = read_spot(frame, yard, place)
    return Thing(place.column, place.row, place.size, spot.stops, spot.percent), spot


def _peaks(areas: Areas, speck: float) -> Three:
    red, green, blue = (
        areas.percent(reached(tiles, speck / areas.tile**2)) for tiles in areas.tiles
    )
    return red, green, blue


def share_in_band(census: Census, band: CodeBand, yard: Yardstick) -> float:
    """Share of the picture's pixels whose luma code lies in a band (to the census's depth).

    Parameters
    ----------
    census:
        With `Wants.LEVELS`.
    band:
        Codes of the feed.
    yard:
        Gives the feed's depth.

    Returns
    -------
    float
        Share, 0 to 1.

    Examples
    --------
    >>> from overlays.measure.counting.bands import Band, BandKind
    >>> from overlays.measure.counting.census import take_census
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> from overlays.signal.quantities import percent
    >>> band = CodeBand(Band(BandKind.ABOVE, percent(90.0)), low=852, high=1023)
    >>> share_in_band(take_census(grey_frame([[64, 64, 64, 940]]), VIDEO), band, VIDEO)
    0.25
    """
    down = yard.signal.bits - census.bits
    counts = histogram(census)
    inside = counts[band.low >> down : (band.high >> down) + 1].sum()
    return float(inside) / census.pixels
