"""The range: brightest and darkest thing that matters, and what room is left to clip and floor.

The brightest thing is the one whose fullest channel is nearest to its clip: a red lamp gives out in
R long before its luma does.
"""

from dataclasses import replace

from overlays.measure.counting.bands import CodeBand
from overlays.measure.counting.census import Census, histogram
from overlays.measure.counting.clip import FlatTop, Three
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.flat_top import (
    ceilings_of,
    doubt_sentence,
    flat_top_sentence,
    joined,
)
from overlays.measure.range.footroom import footroom_of
from overlays.measure.range.headroom import (
    clipped_channels,
    fullest_place,
    least_room,
    place_of,
    room_by_channel,
    shares_clipped,
    stops_to_clip,
)
from overlays.measure.range.range_reading import Extremes, RangeReading, Thing
from overlays.measure.range.things import highest_window, reached, speck_pixels
from overlays.measure.range.tile_areas import Areas, code_step, look_at
from overlays.measure.spot.spot import SpotPlace, SpotReading, read_spot
from overlays.sharing.crew import ALONE, Crew
from overlays.sharing.stepwise import Steps, whole
from overlays.signal.frame import Frame

SPECK_PERCENT = 0.02
"""Share of the picture below which a thing is a speck that does not matter: 20x20 of 1080p."""

DARK_LEVELS = 24.0
"""Most by which tiles of the darkest thing differ, in 10-bit codes: a third of a stop on most
curves, where noise is widest."""


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
    seen = look_at(frame, yard, crew) if areas is None else areas
    return whole(
        range_in_steps(
            frame, yard, census, seen, speck_percent=speck_percent, band=band, known=known
        )
    )


def range_in_steps(  # noqa: PLR0913 - as of `read_range`
    frame: Frame,
    yard: Yardstick,
    census: Census,
    areas: Areas,
    *,
    speck_percent: float = SPECK_PERCENT,
    band: CodeBand | None = None,
    known: FlatTop | RangeReading | None = None,
) -> Steps[RangeReading]:
    """As `read_range`, in steps, of a frame that stays as it is meanwhile.

    Parameters
    ----------
    frame, yard, census, areas, speck_percent, band, known:
        As of `read_range`.

    Returns
    -------
    Steps[RangeReading]
        The longest takes a third of the whole.

    Examples
    --------
    >>> from overlays.measure.counting.census import Wants, take_census
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.signal.example_frames import grey_frame
    >>> frame = grey_frame([[420, 496]], cell=16)
    >>> of = frame, LOG, take_census(frame, LOG, Wants.LEVELS | Wants.CLIPPING)
    >>> whole(range_in_steps(*of, look_at(frame, LOG))) == read_range(*of)
    True
    """
    speck = speck_pixels(areas.pixels, speck_percent)
    if isinstance(known, RangeReading):
        here, doubts, suspect = known.flat_top_here, known.doubts, known.suspect
        top = known.flat_top
    else:
        here, doubts, suspect = ceilings_of(areas, yard, known)
        top = joined(here, known)
        yield
    under = yard.under(top, doubts)
    bright = fullest_place(frame, under, areas, stops_to_clip(areas, under), speck)
    yield
    step = code_step(yard.signal)
    low = highest_window(-areas.luma, areas.tile**2, speck, (step, DARK_LEVELS))
    at = Extremes(bright, place_of(areas, *low), top, doubts, suspect)
    yield
    found = yield from _range_at(frame, yard, census, at, areas)
    yield
    return replace(
        found,
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
    return whole(_range_at(frame, yard, census, at, areas))


def _range_at(
    frame: Frame, yard: Yardstick, census: Census, at: Extremes, areas: Areas | None
) -> Steps[RangeReading]:
    yard, top = yard.under(at.flat_top, at.doubts), at.flat_top
    bright, bright_spot = _thing(frame, yard, at.brightest)
    yield
    dark, dark_spot = _thing(frame, yard, at.darkest)
    yield
    warnings: list[str] = []
    clipped = clipped_channels(bright_spot)
    rooms = room_by_channel(bright_spot, yard)
    may_clip = bright_spot.may_clip
    suspect = "".join(name for name in may_clip if name in at.suspect)
    headroom, fullest = least_room(rooms, clipped, suspect, warnings)
    if may_clip and not clipped:
        unknown = "headroom unknown: " if headroom is None else ""
        warnings.append(unknown + doubt_sentence(at.doubts, yard))
    footroom = footroom_of(dark_spot, yard, warnings)
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
        yard=yard,
    )


def _thing(frame: Frame, yard: Yardstick, place: SpotPlace) -> tuple[Thing, SpotReading]:
    spot = read_spot(frame, yard, place)
    return Thing(place.column, place.row, place.size, spot.stops, spot.percent, spot), spot


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
