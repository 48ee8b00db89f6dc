"""Which profile a feed is read with: what was asked for, what the feed says, else the usual one."""

from dataclasses import dataclass, replace

from firmware.feeds.base import FeedInfo, SignalOverride
from firmware.profiles.model import NO_PROFILE, Profile, curve_alone
from firmware.profiles.shelf import USUAL, load_profile
from firmware.written.options import Overrides
from overlays.signal.published import published_curve
from overlays.signal.signal import Range


@dataclass(frozen=True, slots=True)
class Chosen:
    """The profile to read with, and what makes that choice less than certain."""

    profile: Profile
    warnings: tuple[str, ...]


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
    of_profile = SignalOverride() if asked is None else asked.override
    return SignalOverride(
        overrides.range or of_profile.range, overrides.matrix or of_profile.matrix
    )


def choose_profile(asked: Profile | None, overrides: Overrides, info: FeedInfo) -> Chosen:
    """The profile to read an open feed with.

    Where nothing was asked for, the curve the feed says it carries; else the usual profile, with a
    warning that this is a guess.
    """
    warnings: list[str] = []
    if asked is not None:
        profile = asked
        warnings += _against_the_feed(profile, info)
    elif info.curve is not None:
        profile = curve_alone(info.curve, overrides.carriage or info.carriage)
    else:
        profile = load_profile(USUAL)
        if overrides.carriage is not None:
            profile = replace(profile, carriage=overrides.carriage)
        warnings.append(
            f"no curve was given and the feed does not say which it carries: read as "
            f"{profile.curve.name}; give --profile or --curve"
        )
    warnings += _unstated_carriage(profile, info)
    return Chosen(profile, tuple(warnings))


def _against_the_feed(profile: Profile, info: FeedInfo) -> list[str]:
    if info.curve is None:
        return []
    what = "the curve" if profile.name == NO_PROFILE else f"profile {profile.name}"
    if info.curve.name != profile.curve.name:
        says, reads = f"it carries {info.curve.name}", profile.curve.name
        return [_disagreement(says, what, reads)]
    theirs = info.carriage or info.curve.carriage
    if theirs is not profile.laid and info.signal.range is Range.LIMITED:
        return [_disagreement(f"its carriage is {theirs.value}", what, profile.laid.value)]
    return []


def _disagreement(says: str, what: str, reads: str) -> str:
    return (
        f"the feed says {says}, {what} reads it as {reads}: the stops are right only if the feed "
        "is wrong"
    )


def _unstated_carriage(profile: Profile, info: FeedInfo) -> list[str]:
    stated = profile.carriage is not None or profile.curve.carriage_stated
    if stated or info.signal.range is Range.FULL:  # on full range the two are the same
        return []
    doubt = (
        f"the publication of {profile.curve.name} does not say how it lies on video codes: read "
        f"as carriage {profile.laid.value}; a known black or grey frame decides, then give "
        "--carriage or write it in the profile"
    )
    return [doubt]
