import pytest

from firmware.clock import HandClock
from firmware.errors import FeedNotFoundError, ProfileError
from firmware.feeds.base import FeedState, Pace
from firmware.opening.overrides import Overrides
from firmware.opening.session import open_session
from firmware.profiles.model import NO_PROFILE
from overlays.signal.signal import Range

BENCH = "bench:size=64x36"


def opened(spec=BENCH, profile=None, overrides=None):
    return open_session(spec, profile, overrides or Overrides(), clock=HandClock(), pace=Pace.STEP)


def test_the_bench_carries_the_curve_of_the_profile():
    session = opened(profile="log-v")
    assert session.profile.name == "log-v"
    assert session.feed.info.curve.name == "V-Log"
    assert not session.is_guess
    assert session.read_with().doubts == ()
    session.feed.close()


def test_the_bench_alone_says_its_curve_itself():
    session = opened("bench:size=64x36,curve=HLG")
    assert (session.profile.name, session.profile.curve.name) == (NO_PROFILE, "HLG")
    session.feed.close()


def test_the_signal_of_the_command_line_reaches_the_feed():
    session = opened(overrides=Overrides(range=Range.FULL))
    assert session.feed.info.signal.range is Range.FULL
    assert session.read_with().info.signal.range is Range.FULL
    session.feed.close()


def test_the_warnings_of_the_choice_stand_behind_those_of_the_feed():
    session = opened("bench:size=64x36,curve=HLG", "log-v")
    found = session.read_with()
    assert found.warnings == (*session.feed.info.warnings, *found.doubts)
    assert len(found.doubts) == 1
    session.feed.close()


def test_nobody_asked_and_the_feed_does_not_say(tmp_path):
    raw = tmp_path / "grey.uyvy"
    raw.write_bytes(bytes([128]) * 64 * 36 * 2)
    session = opened(f"{raw}:size=64x36")
    assert session.is_guess
    assert "no curve was given" in session.read_with().warnings[-1]
    session.feed.close()
    session = opened(f"{raw}:size=64x36", "log-v")
    assert not session.is_guess
    assert not any("no curve was given" in each for each in session.read_with().warnings)
    session.feed.close()


def test_a_gamut_may_be_named_over_the_profiles():
    session = opened(profile="log-v")
    assert session.read_with("BT.2020").gamut.name == "BT.2020"
    session.feed.close()


def test_no_feed_asked_for_still_opens_one():
    session = opened(None)
    assert session.feed.read(1.0) is not FeedState.GONE
    session.feed.close()


def test_what_is_not_to_be_had():
    with pytest.raises(FeedNotFoundError):
        opened("gone.mov")
    with pytest.raises(ProfileError):
        opened(profile="gone.toml")
