"""Which profile a feed is read with: what was asked for, what the feed says, else the usual one."""

from dataclasses import dataclass, replace

from firmware.feeds.base import FeedInfo
from firmware.opening.overrides import Overrides
from firmware.profiles.model import NO_PROFILE, Profile, curve_alone
from firmware.profiles.shelf import USUAL, load_profile
from overlays.signal.published import published_curve
from overlays.signal.signal import Range, Signal, SignalOverride


@dataclass(frozen=True, slots=True)
class Chosen:
    """The profile to read with, and whether nobody asked for it nor the feed named its curve."""

    profile: Profile
    is_guess: bool = False


def asked_profile(name_or_path: str | None, overrides: Overrides) -> Profile | None:
    """The profile as it was asked for, or None where neither profile nor curve was given.

    Raises
    ------
    FirmwareError
        The profile is unknown or has mistakes.
    OverlayError
        The curve is unknown.
    """
    curve = None if overrides.curve is None else published_curve(overrides.curve)
    if name_or_path is None:
        return None if curve is None else curve_alone(curve, overrides.carriage)
    profile = load_profile(name_or_path)
    if curve is not None and curve != profile.curve:
        # The profile's carriage was that of its own curve.
        profile = replace(profile, curve=curve, carriage=None)
    if overrides.carriage is not None:
        profile = replace(profile, carriage=overrides.carriage)
    return profile


def signal_override(asked: Profile | None, overrides: Overrides) -> SignalOverride:
    """Range and matrix against the feed: the command line's, else the profile's."""
    return overrides.signal.or_else(SignalOverride() if asked is None else asked.override)


def choose_profile(asked: Profile | None, overrides: Overrides, info: FeedInfo) -> Chosen:
    """The profile to read an open feed with.

    Where nothing was asked for, the curve the feed says it carries; else the usual profile, which
    is a guess.
    """
    if asked is not None:
        return Chosen(asked)
    if info.curve is not None:
        return Chosen(curve_alone(info.curve, overrides.carriage or info.carriage))
    profile = load_profile(USUAL)
    if overrides.carriage is not None:
        profile = replace(profile, carriage=overrides.carriage)
    return Chosen(profile, is_guess=True)


def doubts(profile: Profile, info: FeedInfo, signal: Signal, *, is_guess: bool) -> tuple[str, ...]:
    """What makes a profile on a feed less than certain.

    Parameters
    ----------
    signal:
        Of the feed, as it is read.
    is_guess:
        Whether nobody asked for the profile.
    """
    if is_guess:
        guess = (
            f"no curve was given and the feed does not say which it carries: read as "
            f"{profile.curve.name}; give --profile or --curve"
        )
        return (guess, *_unstated_carriage(profile, signal))
    return (*_against_the_feed(profile, info, signal), *_unstated_carriage(profile, signal))


def _against_the_feed(profile: Profile, info: FeedInfo, signal: Signal) -> list[str]:
    if info.curve is None:
        return []
    what = "the curve" if profile.name == NO_PROFILE else f"profile {profile.name}"
    if info.curve.name != profile.curve.name:
        says, reads = f"it carries {info.curve.name}", profile.curve.name
        return [_disagreement(says, what, reads)]
    theirs = info.carriage or info.curve.carriage
    if theirs is not profile.laid and signal.range is not Range.FULL:
        return [_disagreement(f"its carriage is {theirs.value}", what, profile.laid.value)]
    return []


def _disagreement(says: str, what: str, reads: str) -> str:
    return (
        f"the feed says {says}, {what} reads it as {reads}: the stops are right only if the feed "
        "is wrong"
    )


def _unstated_carriage(profile: Profile, signal: Signal) -> list[str]:
    stated = profile.carriage is not None or profile.curve.carriage_stated
    if stated or signal.range is Range.FULL:  # on full range the two are the same
        return []
    doubt = (
        f"the publication of {profile.curve.name} does not say how it lies on video codes: read "
        f"as carriage {profile.laid.value}; a known black or grey frame decides, then give "
        "--carriage or write it in the profile"
    )
    return [doubt]
