"""What a feed check writes: a profile that reads the feed rightly, what is known of a device."""

from pathlib import Path

from firmware.clock import day_of
from firmware.errors import ArgumentError
from firmware.feeds.checked import NO_DATE, Checked, keep_checked
from firmware.instruments.feedcheck.answer import FeedcheckAnswer
from firmware.profiles.made import Made, write_profile
from overlays.measure.feedcheck.delivery import Delivery
from overlays.measure.feedcheck.readings import What
from overlays.measure.feedcheck.words import delivery_words
from overlays.signal.levels import luma_scale
from overlays.signal.quantities import percent
from overlays.signal.signal import Signal, SignalOverride


def keep_profile(answer: FeedcheckAnswer, path: Path, wall_s: float) -> str:
    """Write the corrected profile; one sentence without a full stop says so.

    Raises
    ------
    FirmwareError
        What arrives is not certain, or the file cannot be written.
    """
    chosen = _certain(answer, "a profile")
    profile = answer.origin.profile
    same = profile.curve == chosen.curve
    clip = answer.readings[What.CLIP].code
    scale = luma_scale(Signal(answer.origin.signal.bits, chosen.range))
    made = Made(
        title=f"{chosen.curve.name}, by a feed check",
        notes=(
            f"Feed check of {day_of(wall_s) or NO_DATE}: {delivery_words(chosen)}. The clip is "
            "the brightest that a lamp made."
        ),
        curve=chosen.curve.name,
        carriage=chosen.carriage,
        signal=_signal(answer, chosen),
        clip=percent(round(100.0 * (clip - scale.zero) / scale.span, 1)),
        stripes=profile.stripes if same else (),
    )
    return write_profile(made, path)


def keep_device(answer: FeedcheckAnswer, wall_s: float) -> str:
    """Keep range and matrix for the device; one sentence without a full stop says so.

    Raises
    ------
    FirmwareError
        What arrives is not certain, the feed is no capture device, or it cannot be written.
    """
    chosen, device = _certain(answer, "anything for the device"), answer.origin.info.device
    if not device:
        raise ArgumentError(
            f"{answer.origin.feed_name} is no capture device, so there is nothing to keep it for; "
            "write a profile with --profile-out"
        )
    signal, date = _signal(answer, chosen), day_of(wall_s) or NO_DATE
    path = keep_checked(device, Checked(signal, date))
    matrix = "" if signal.matrix is None else f", matrix {signal.matrix.value}"
    return f"{device} is read as {chosen.range.value} range{matrix} from now on ({path}, {date})"


def _signal(answer: FeedcheckAnswer, chosen: Delivery) -> SignalOverride:
    return SignalOverride(chosen.range, answer.matrix)


def _certain(answer: FeedcheckAnswer, what: str) -> Delivery:
    chosen = answer.chosen
    if chosen is None or answer.check is None or not answer.check.is_certain:
        raise ArgumentError(
            f"the feed check is not certain, so it does not write {what}: read what it asks for, "
            "then again"
        )
    return chosen
