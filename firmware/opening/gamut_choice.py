"""Which gamut a feed is read in, and what its camera's balance is set to."""

from firmware.errors import ArgumentError
from firmware.feeds.base import FeedInfo
from firmware.profiles.balance_table import parse_gamut, parse_kelvin, parse_tint
from firmware.profiles.model import Profile
from overlays.measure.colour.whitepoint import WhitePoint
from overlays.signal.gamut_of_curve import default_gamut, is_gamut_assumed
from overlays.signal.gamuts import Gamut


def gamut_of(asked: str | None, profile: Profile, info: FeedInfo) -> Gamut:
    """The gamut asked for, else the profile's, else the feed's own, else that of the curve.

    Raises
    ------
    ArgumentError
        There is none of that name.
    """
    wanted = parse_gamut(asked) if asked is not None else profile.gamut
    return wanted or info.gamut or default_gamut(profile.curve)


def assumed(profile: Profile, info: FeedInfo) -> tuple[str, ...]:
    """What is to be said where neither profile, feed nor the curve's publication names a gamut."""
    if profile.gamut is not None or info.gamut is not None or not is_gamut_assumed(profile.curve):
        return ()
    doubt = (
        f"no gamut was published with {profile.curve.name}: colours are read as "
        f"{default_gamut(profile.curve).name}; give --gamut, or gamut in the profile"
    )
    return (doubt,)


def contradicted(gamut: Gamut, info: FeedInfo) -> tuple[str, ...]:
    """What is to be said where the feed names another gamut than it is read in."""
    if info.gamut is None or info.gamut == gamut:
        return ()
    doubt = (
        f"the feed says its gamut is {info.gamut.name}, it is read as {gamut.name}: the colours "
        "are right only if the feed is wrong"
    )
    return (doubt,)


def choose_dial(dial: str | None, tint: str | None, profile: Profile) -> WhitePoint | None:
    """What the camera is set to: as asked, else as the profile says, else not known.

    Raises
    ------
    QuantityError
        It is no colour temperature or tint.
    ArgumentError
        A tint without a dial, asked or in the profile.
    """
    if dial is None and tint is None:
        return profile.dial
    kelvin = parse_kelvin(dial) if dial is not None else None
    if kelvin is None:
        if profile.dial is None:
            raise ArgumentError(f"--tint {tint!r} without --dial; say both, as --dial 5600")
        kelvin = profile.dial.kelvin
    return WhitePoint(kelvin, 0.0 if tint is None else parse_tint(tint) / 1000.0)
