"""What is derived of a profile and a feed."""

from dataclasses import replace

import pytest

from firmware.errors import ArgumentError
from firmware.feeds.base import Doubt, Settles
from firmware.opening.read_with import read_with
from firmware.profiles.model import Profile
from firmware.profiles.shelf import load_profile
from overlays.signal.gamuts import published_gamut
from overlays.signal.published import published_curve
from overlays.signal.signal import Matrix, Range, Signal, SignalOverride

DOUBTS = (Doubt("range unknown", Settles.RANGE), Doubt("both unknown", Settles(3)))


def test_warnings_are_those_of_this_profile_on_this_feed(info):
    feed = replace(info(), curve=published_curve("V-Log"), carriage=None)
    assert read_with(load_profile("log-v"), feed).warnings == ()
    (warning,) = read_with(load_profile("hlg"), feed).warnings
    assert "it carries V-Log" in warning


def test_a_guess_is_said_to_be_one(info):
    found = read_with(load_profile("standard"), info(), is_guess=True)
    assert "no curve was given" in found.warnings[0]
    assert read_with(load_profile("standard"), info()).warnings == ()


def test_the_gamut_is_asked_for_then_the_profiles_then_the_feeds_then_the_curves(info):
    wide, narrow = published_gamut("V-Gamut"), published_gamut("BT.709")
    feed = replace(info(), gamut=narrow)
    log = load_profile("log-v")
    assert read_with(log, feed, gamut="BT.2020").gamut == published_gamut("BT.2020")
    assert read_with(replace(log, gamut=wide), feed).gamut == wide
    assert read_with(log, feed).gamut == narrow
    assert read_with(log, info()).gamut == wide
    with pytest.raises(ArgumentError, match="did you mean V-Gamut"):
        read_with(log, info(), gamut="V-Gamot")


def test_a_gamut_against_the_feeds_own_is_named(info):
    feed = replace(info(), gamut=published_gamut("BT.709"))
    found = read_with(replace(load_profile("log-v"), gamut=published_gamut("V-Gamut")), feed)
    assert "the feed says its gamut is BT.709" in found.gamut_warnings[0]
    assert read_with(load_profile("log-v"), feed).gamut_warnings == ()


def overridden(override):
    return Profile("kit", "kit", published_curve("BT.709"), override=override)


def test_the_profile_says_what_the_command_line_leaves_open(info):
    feed = replace(info(), doubts=DOUBTS)
    profile = overridden(SignalOverride(Range.FULL, Matrix.BT601))
    found = read_with(profile, feed)
    assert (found.info.signal.range, found.info.signal.matrix) == (Range.FULL, Matrix.BT601)
    assert found.info.warnings == ()
    found = read_with(profile, feed, override=SignalOverride(Range.LIMITED))
    assert (found.info.signal.range, found.info.signal.matrix) == (Range.LIMITED, Matrix.BT601)


def test_doubts_stay_until_all_they_are_about_is_said(info):
    feed = replace(info(), doubts=DOUBTS)
    said = read_with(overridden(SignalOverride()), feed).info.warnings
    assert said == ("range unknown", "both unknown")
    said = read_with(overridden(SignalOverride(Range.FULL)), feed).info.warnings
    assert said == ("both unknown",)


def test_frames_are_read_as_it_is_said_now_whatever_was_said_at_the_opening(info, frame):
    # Opened under a profile that called it full range; another one says nothing of it.
    own = info().signal
    as_opened = replace(own, range=Range.FULL)
    feed = replace(info(), signal=as_opened, own=own)
    sent = frame(signal=as_opened)
    assert read_with(overridden(SignalOverride(Range.FULL)), feed).frame(sent) is sent
    assert read_with(overridden(SignalOverride()), feed).frame(sent).signal == own


def test_a_frame_keeps_its_depth(info, frame):
    eight = Signal(8, subsampling=info().signal.subsampling)
    found = read_with(overridden(SignalOverride(Range.FULL)), info()).frame(frame(90, eight))
    assert (found.signal.bits, found.signal.range) == (8, Range.FULL)


def test_a_feed_that_changes_its_range_is_read_as_it_comes(info, frame):
    # The info is from before the change; nobody says anything of the range.
    derived = read_with(overridden(SignalOverride()), info())
    changed = replace(info().signal, range=Range.FULL)
    assert derived.frame(frame(signal=changed)).signal == changed


@pytest.mark.parametrize("bits", [8, 10])
def test_codes_are_taken_as_they_are_stored_where_no_shift_is_said(info, bits):
    read_as, signal = read_with(load_profile("standard"), info()), Signal(bits)
    assert read_as.yardstick(signal).shift == 0
    assert read_as.yardstick(signal, 6).shift == 6
