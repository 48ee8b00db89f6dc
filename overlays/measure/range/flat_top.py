"""Where the camera clips below the profile's clip: a picture that is flat at its top.

A sensor gives out below the top of most log curves, each channel at a level of its own once white
balance has lifted red and blue. Nothing in the codes says so but piles (`ceilings`).
"""

from dataclasses import replace

from overlays.measure.counting.clip import NOWHERE, FlatTop, Levels
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.ceilings import SAME_LEVELS, find_piles
from overlays.measure.range.tile_areas import Areas

SAME_PERCENT = 0.15
"""Levels no further apart are said as one: they are told to a tenth."""


def ceilings_of(
    areas: Areas, yard: Yardstick, known: FlatTop | None = None
) -> tuple[FlatTop | None, Levels, str]:
    """The ceilings below the clip that a frame's tiles establish, and what is in doubt.

    Parameters
    ----------
    areas:
        The frame's.
    yard:
        What it is measured with.
    known:
        Ceilings of earlier frames: a pile there needs no other sign.

    Returns
    -------
    tuple[FlatTop | None, Levels, str]
        The ceilings; levels in percent at which one is in doubt; the channels ("RB") that are
        suspect, whose pile is as even as few things are.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.range.tile_areas import look_at
    >>> from overlays.signal.example_frames import grey_frame
    >>> ramp = [[min(200 + 20 * c, 800) for c in range(48)]]  # light that runs up to code 800
    >>> top, doubts, _ = ceilings_of(look_at(grey_frame(ramp * 24, cell=4), LOG), LOG)
    >>> [round(percent, 1) for percent in top.percents], doubts  # (800 - 64) / 876
    ([84.0, 84.0, 84.0], (None, None, None))
    """
    before = NOWHERE if known is None else known.percents
    levels = tuple(None if percent is None else areas.level(percent) for percent in before)
    piles = find_piles(areas, yard, levels)
    sure = [pile if pile is not None and pile.is_sure else None for pile in piles]
    percents = [None if pile is None else areas.percent(pile.level) for pile in piles]
    doubts = [
        percent if found is None and level is None else None
        for percent, found, level in zip(percents, sure, levels, strict=True)
    ]
    unsure: Levels = (doubts[0], doubts[1], doubts[2])
    # What few things are as even as in one channel is as doubtful on the same level of another.
    odd = [pile.level for pile in piles if pile is not None and pile.is_suspect]
    suspect = "".join(
        name
        for name, pile, doubt in zip("RGB", piles, doubts, strict=True)
        if pile is not None
        and doubt is not None
        and any(abs(pile.level - level) <= SAME_LEVELS for level in odd)
    )
    if all(pile is None for pile in sure):
        return None, unsure, suspect
    red, green, blue = (None if pile is None else areas.percent(pile.level) for pile in sure)
    spreads = [0.0 if p is None else 100.0 * p.deviation / areas.scale.span for p in sure]
    share = max(pile.share for pile in sure if pile is not None)
    top = FlatTop((red, green, blue), share, (spreads[0], spreads[1], spreads[2]))
    return top, unsure, suspect


def joined(here: FlatTop | None, known: FlatTop | None) -> FlatTop | None:
    """Ceilings of a frame, and those known from earlier frames where it shows none.

    Parameters
    ----------
    here:
        Of this frame.
    known:
        Of earlier ones.

    Returns
    -------
    FlatTop | None
        None where neither is any.

    Examples
    --------
    >>> here, known = FlatTop((90.0, None, None), 0.02), FlatTop((92.0, 95.0, None), 0.01)
    >>> joined(here, known).percents
    (90.0, 95.0, None)
    """
    if known is None:
        return here
    if here is None:
        return replace(known, share=0.0)
    percents = [k if h is None else h for h, k in zip(here.percents, known.percents, strict=True)]
    spreads = [
        k if h is None else s
        for h, s, k in zip(here.percents, here.spreads, known.spreads, strict=True)
    ]
    return FlatTop(
        (percents[0], percents[1], percents[2]),
        here.share,
        (spreads[0], spreads[1], spreads[2]),
        max(here.readings, known.readings),
    )


def flat_top_sentence(top: FlatTop, yard: Yardstick) -> str:
    """What to say of a camera's ceilings that were found.

    Parameters
    ----------
    top:
        The ceilings.
    yard:
        Gives their stops.

    Returns
    -------
    str
        A sentence without a full stop.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> flat_top_sentence(FlatTop((90.0, None, None), share=0.02), VIDEO).split(',')[0]
    'the camera clips at R 90.0 % or +2.17 st'
    """
    known = [percent for percent in top.percents if percent is not None]
    at = [f"{p:.1f} % or {yard.carried.percent_to_stops(p):+.2f} st" for p in known]
    if len(known) == 3 and max(known) - min(known) < SAME_PERCENT:
        each = [f"{at[1]} in R, G and B"]
    else:
        each = [f"{name} {words}" for name, words in zip(top.channels, at, strict=True)]
    where = (
        f"the picture is flat there on {100.0 * top.share:.1f} % of its area"
        if top.share > 0.0
        else "another picture was flat there"
    )
    return (
        f"the camera clips at {', '.join(each)}, below the profile's clip: {where}; that is taken "
        "as the clip, found from the picture"
    )


def doubt_sentence(doubts: Levels, yard: Yardstick) -> str:
    """What to say where one picture cannot tell a ceiling from a thing lit very evenly.

    Parameters
    ----------
    doubts:
        Levels of R', G', B' in percent; None where there is no doubt.
    yard:
        Gives their stops.

    Returns
    -------
    str
        A sentence without a full stop.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> doubt_sentence((90.0, None, None), VIDEO).split(' and may')[0]
    'the brightest thing is flat (R +2.2 st)'
    """
    each = [
        f"{name} {yard.carried.percent_to_stops(percent):+.1f} st"
        for name, percent in zip("RGB", doubts, strict=True)
        if percent is not None
    ]
    return (
        f"the brightest thing is flat ({', '.join(each)}) and may be clipped by the camera there: "
        "one picture cannot tell; close the lens by a stop and see whether it falls by one"
    )
