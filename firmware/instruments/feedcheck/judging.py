"""From readings to an answer: the same for the command and for the view."""

from dataclasses import dataclass, field

from firmware.answers.origin import Origin
from firmware.instruments.feedcheck.answer import FeedcheckAnswer
from overlays.draw.moment.layers import PinFlags
from overlays.errors import ReadingsOrderError
from overlays.measure.feedcheck.delivery import Delivery
from overlays.measure.feedcheck.patch import Coloured, SaturatedPatch, matrix_of, weigh_patch
from overlays.measure.feedcheck.readings import Readings, What, check_order
from overlays.measure.feedcheck.tolerances import Tolerances
from overlays.measure.feedcheck.verdict import FeedCheck, check_feed
from overlays.signal.curves import stops_to_linear

NEEDED = frozenset({What.CAP, What.CARD, What.CLIP})


@dataclass(frozen=True, slots=True)
class Judging:
    """What is judged besides the readings.

    Attributes
    ----------
    tolerances:
        What is known of the card.
    patch:
        A saturated patch, where one was read.
    """

    tolerances: Tolerances = field(default_factory=Tolerances)
    patch: SaturatedPatch | None = None


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
    coloured = _coloured(check, asked.patch, origin)
    return FeedcheckAnswer(
        origin, readings, now, check, coloured, matrix_of(coloured, signal), flags=flags
    )


def _coloured(
    check: FeedCheck, patch: SaturatedPatch | None, origin: Origin
) -> tuple[Coloured, ...]:
    """A patch against every name that the greys leave possible."""
    if patch is None or not check.groups:
        return ()
    card = check.readings[What.CARD].code
    light = stops_to_linear(check.groups[0][0].stops(card, check.bits))
    names = check.groups[0]
    return weigh_patch(patch, light, names, origin.signal, origin.profile.gamut)
