"""What the darkest thing tells of the room down to the floor, and what it cannot tell."""

import math

from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.spot import SpotReading
from overlays.wording.reasons import Bound, Reason


def doubt_of_darkest(dark: SpotReading) -> str:
    """Why what the darkest thing reads is not what it is.

    Parameters
    ----------
    dark:
        The spot on it.

    Returns
    -------
    str
        Plain words without a full stop; empty where it reads what it is, within its ±.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> black, grey = (read_spot(grey_frame([[c]], 16), LOG, SpotPlace(8, 8, 8)) for c in (60, 420))
    >>> doubt_of_darkest(black), doubt_of_darkest(grey)
    ('the darkest thing has no light above black', '')
    """
    why = dark.unknown
    if why is None:
        return ""
    if why is Reason.NO_LIGHT:
        return "the darkest thing has no light above black"
    if why is Reason.CUT_OFF:
        cut = f"the darkest thing's noise is cut off at {dark.cut_off}"
        return f"{cut}: its stops are the most that it may have"
    if why is Reason.DOWN_TO_NO_LIGHT:
        return "the darkest thing's ± reaches down to no light"
    return f"the darkest thing is {why.words}"


def footroom_of(dark: SpotReading, yard: Yardstick, warnings: list[str]) -> float | None:
    """Stops from the darkest thing down to the profile's floor.

    Parameters
    ----------
    dark:
        The spot on the darkest thing.
    yard:
        Gives the floor.
    warnings:
        Why it is unknown is added here.

    Returns
    -------
    float or None
        Stops; None where it cannot be known: of a reading that is only a bound, or that no ± holds,
        nobody knows how much room there is.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> black, grey = (read_spot(grey_frame([[c]], 16), LOG, SpotPlace(8, 8, 8)) for c in (60, 420))
    >>> footroom_of(grey, LOG, []) == grey.stops - LOG.floor_stops, footroom_of(black, LOG, [])
    (True, None)
    """
    doubt = doubt_of_darkest(dark)
    if dark.stops is None or doubt:
        warnings.append(f"footroom unknown: {doubt}")
        return None
    if not math.isfinite(yard.floor_stops):
        warnings.append("footroom unknown: the profile's floor lies at or below no light")
        return None
    return dark.stops - yard.floor_stops


def will_sink(change_stops: float, dark: SpotReading, yard: Yardstick) -> bool | None:
    """Whether the darkest thing will lie below the floor after a change of light.

    Parameters
    ----------
    change_stops:
        Light added (positive) or taken.
    dark:
        The spot on the darkest thing, as it reads now.
    yard:
        Gives the floor.

    Returns
    -------
    bool | None
        None where it cannot be known.

    Notes
    -----
    Of light that is cut off only the upper end is known, which is what its spot reads, and of
    clipped light only the lower: the one is known to sink where that end does, the other to stay
    above where its does.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> grey = read_spot(grey_frame([[420]], 16), LOG, SpotPlace(8, 8, 8))
    >>> will_sink(-1.0, grey, LOG), will_sink(-20.0, grey, LOG)
    (False, True)
    """
    if dark.stops is None or not math.isfinite(yard.floor_stops):
        return None
    floor = yard.floor_stops - change_stops
    if dark.unknown is Reason.CUT_OFF:
        return True if dark.stops < floor else None
    sinks = dark.stops < floor
    if dark.bound is Bound.AT_LEAST and not dark.cut_off:
        return None if sinks else False
    return sinks if dark.stops_pm is not None else None


def why_not_foreseen(change_stops: float, dark: SpotReading) -> str:
    """What can be said of where the darkest thing will lie, where it is a bound or has no ± now.

    Parameters
    ----------
    change_stops, dark:
        As of `will_sink`.

    Returns
    -------
    str
        A sentence without a full stop.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> black = read_spot(grey_frame([[60]], 16), LOG, SpotPlace(8, 8, 8))
    >>> why_not_foreseen(1.0, black)
    'the darkest thing has no light above black: where it will lie is unknown'
    """
    most = dark.stops
    if dark.unknown is Reason.CUT_OFF and most is not None:
        lies = f"it will lie at {most + change_stops:+.1f} st or lower"
        return f"the darkest thing is too dark now to say more than that {lies}"
    if dark.unknown is Reason.DOWN_TO_NO_LIGHT:
        return "the darkest thing is too dark now to say where it will lie"
    return f"{doubt_of_darkest(dark)}: where it will lie is unknown"
