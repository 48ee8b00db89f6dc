"""From readings to an answer: the same for the command and for the view."""

from dataclasses import dataclass, field

from firmware.answers.origin import Origin
from firmware.instruments.feedcheck.answer import FeedcheckAnswer
from overlays.draw.moment.layers import PinFlags
from overlays.errors import ReadingsOrderError
from overlays.measure.feedcheck.delivery import Delivery
from overlays.measure.feedcheck.patch import (
    Coloured,
    SaturatedPatch,
    matrix_of,
    nearest_first,
    weigh_patches,
)
from overlays.measure.feedcheck.readings import Readings, What, check_order
from overlays.measure.feedcheck.tolerances import Tolerances
from overlays.measure.feedcheck.verdict import FeedCheck, check_feed
from overlays.signal.gamut_of_curve import default_gamut
from overlays.signal.gamuts import Gamut

NEEDED = frozenset({What.CAP, What.CARD, What.CLIP})


@dataclass(frozen=True, slots=True)
class Judging:
    """What is judged besides the readings.

    Attributes
    ----------
    tolerances:
        What is known of the card.
    patches:
        Saturated patches, as many as were read.
    """

    tolerances: Tolerances = field(default_factory=Tolerances)
    patches: tuple[SaturatedPatch, ...] = ()


def judged(
    readings: Readings,
    origin: Origin,
    flags: PinFlags,
    asked: Judging = Judging(),
) -> FeedcheckAnswer:
    """What the readings say, as far as there are enough of them."""
    profile, signal = origin.profile, origin.signal
    now = Delivery(profile.curve, profile.laid, signal.range)
    try:
        check_order(readings)
    except ReadingsOrderError as fault:
        return FeedcheckAnswer(origin, readings, now, fault=str(fault), flags=flags)
    if not readings.keys() >= NEEDED:
        return FeedcheckAnswer(origin, readings, now, flags=flags)
    check = check_feed(readings, signal.bits, now, asked.tolerances, (profile.curve,))
    coloured = _coloured(check, asked, origin)
    return FeedcheckAnswer(
        origin,
        readings,
        now,
        check,
        coloured,
        matrix_of(coloured, signal),
        flags=flags,
        patches=asked.patches,
        colour_share=asked.tolerances.colour_share,
    )


def _coloured(check: FeedCheck, asked: Judging, origin: Origin) -> tuple[Coloured, ...]:
    """Patches against every name that the greys leave possible: a matrix is that of all of them."""
    if not asked.patches or not check.groups:
        return ()
    card, names = check.readings[What.CARD].code, [each for way in check.groups for each in way]
    within = asked.tolerances.colour_share
    out: list[Coloured] = []
    for gamut in dict.fromkeys(gamut_for(each, origin) for each in names):
        alike = [each for each in names if gamut_for(each, origin) is gamut]
        out += weigh_patches(asked.patches, card, alike, origin.signal, gamut, within)
    return nearest_first(out)


def gamut_for(of: Delivery, origin: Origin) -> Gamut:
    """What the camera sends where this arrives: of the curve it is read by what is known of it."""
    if of.curve == origin.profile.curve:
        return origin.gamut
    return origin.profile.gamut or default_gamut(of.curve)
