"""Which gamut and which dial a balance is judged by."""

from dataclasses import replace

import pytest

from firmware.errors import ArgumentError, QuantityError
from firmware.feeds.base import FeedInfo
from firmware.opening.gamut_choice import assumed, choose_dial, contradicted, gamut_of
from firmware.opening.read_with import read_with
from firmware.profiles.model import curve_alone
from overlays.measure.colour.whitepoint import WhitePoint
from overlays.signal.gamuts import published_gamut
from overlays.signal.published import published_curve
from overlays.signal.signal import Signal

PROFILE = curve_alone(published_curve("V-Log"))
INFO = FeedInfo("x", "y", 640, 360, Signal(), 25.0)
BT709, V = published_gamut("BT.709"), published_gamut("V-Gamut")


def chosen(asked, profile, info):
    """The gamut, and all that is said of it."""
    found = read_with(profile, info, gamut=asked)
    return found.gamut, found.gamut_warnings


def test_the_curves_own_gamut_where_nobody_says():
    assert gamut_of(None, PROFILE, INFO) is V
    assert chosen(None, PROFILE, INFO) == (V, ())


def test_the_feeds_then_the_profiles_then_the_one_asked_for():
    feed = replace(INFO, gamut=BT709)
    assert chosen(None, PROFILE, feed) == (BT709, ())
    mine = replace(PROFILE, gamut=published_gamut("AP1"))
    assert gamut_of(None, mine, INFO).name == "AP1"
    assert gamut_of(None, mine, feed).name == "AP1"
    gamut, (warning,) = chosen("v-gamut", mine, feed)
    assert gamut is V
    assert "right only if the feed is wrong" in warning


def test_a_curve_without_a_gamut_is_warned_of():
    profile = curve_alone(published_curve("Cineon"))
    gamut, (warning,) = chosen(None, profile, INFO)
    assert gamut is BT709
    assert "no gamut was published with Cineon" in warning
    assert assumed(profile, INFO) == (warning,)


@pytest.mark.parametrize(
    ("asked", "of_profile", "of_feed"),
    [("BT.709", None, None), (None, BT709, None), (None, None, BT709)],
)
def test_whoever_names_a_gamut_takes_that_warning_away(asked, of_profile, of_feed):
    profile = replace(curve_alone(published_curve("Cineon")), gamut=of_profile)
    assert chosen(asked, profile, replace(INFO, gamut=of_feed)) == (BT709, ())


def test_an_unknown_gamut():
    with pytest.raises(ArgumentError, match="unknown gamut"):
        gamut_of("nonsense", PROFILE, INFO)


def test_the_dial():
    dialled = replace(PROFILE, dial=WhitePoint(3200.0, 0.002))
    assert choose_dial(None, None, PROFILE) is None
    assert choose_dial(None, None, dialled) == WhitePoint(3200.0, 0.002)
    assert choose_dial("5600 K", None, dialled) == WhitePoint(5600.0, 0.0)
    assert choose_dial("5600", "-3", PROFILE) == WhitePoint(5600.0, -0.003)
    assert choose_dial(None, "4", dialled) == WhitePoint(3200.0, 0.004)
    with pytest.raises(ArgumentError, match="--tint '4' without --dial"):
        choose_dial(None, "4", PROFILE)
    with pytest.raises(QuantityError):
        choose_dial("warm", None, PROFILE)


def test_a_gamut_against_the_feeds_own_is_said_and_nothing_else():
    (said,) = contradicted(V, replace(INFO, gamut=BT709))
    assert "BT.709" in said
    assert "V-Gamut" in said
    assert contradicted(V, replace(INFO, gamut=V)) == ()
    assert contradicted(V, INFO) == ()
    # A profile that names none is read in the feed's own: nothing is contradicted.
    assert read_with(PROFILE, replace(INFO, gamut=BT709)).contradicted == ()
