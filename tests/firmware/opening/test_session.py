import pytest

from firmware.clock import HandClock
from firmware.errors import FeedNotFoundError, ProfileError
from firmware.feeds.base import FeedState, Pace
from firmware.opening.session import open_session
from firmware.profiles.model import NO_PROFILE
from firmware.written.options import Overrides
from overlays.signal.signal import Range

BENCH = "bench:size=64x36"


def opened(spec=BENCH, profile=None, overrides=None):
    return open_session(spec, profile, overrides or Overrides(), clock=HandClock(), pace=Pace.STEP)


def test_the_bench_carries_the_curve_of_the_profile():
    session = opened(profile="log-v")
    assert session.profile.name == "log-v"
    assert session.feed.info.curve.name == "V-Log"
    assert session.warnings == ()
    session.feed.close()


def test_the_bench_alone_says_its_curve_itself():
    session = opened("bench:size=64x36,curve=HLG")
    assert (session.profile.name, session.profile.curve.name) == (NO_PROFILE, "HLG")
    session.feed.close()


def test_the_signal_of_the_command_line_reaches_the_feed():
    session = opened(overrides=Overrides(range=Range.FULL))
    assert session.info.signal.range is Range.FULL
    session.feed.close()


def test_the_warnings_of_the_choice_stand_behind_those_of_the_feed():
    session = opened("bench:size=64x36,curve=HLG", "log-v")
    assert session.info.warnings == (*session.feed.info.warnings, *session.warnings)
    assert len(session.warnings) == 1
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
