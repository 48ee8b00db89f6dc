from dataclasses import replace

import pytest

from firmware.feeds.base import FeedInfo
from firmware.live.answering import answered
from firmware.live.hooks import Hooks
from firmware.live.state import first_state
from firmware.profiles.shelf import load_profile
from overlays.signal.signal import Signal
from tests import views

INFO = FeedInfo("x", "y", 1920, 1080, Signal(), 25.0)


@pytest.fixture
def state():
    return first_state((load_profile("log-v"),), INFO, views.EXPOSE)


def test_only_who_was_asked_answers_once_and_in_order(state):
    hooks = Hooks(
        screenshot=lambda seen: f"picture of {seen}",
        mark=lambda seen, now, read_with: f"mark of {seen}, {now.marks} of {read_with}",
        keep_clip=lambda profile, top: f"clip {top} of {profile.name}",
        light=lambda steps: f"light {steps:+d}",
    )

    def said(**now):
        return list(answered(hooks, state, replace(state, **now), None, "that"))

    assert said() == []
    assert said(dismissed=1, searches=1, held=True) == []
    assert said(lights=-3) == ["light -3"]
    assert said(screenshots=1, marks=2, kept_clips=1) == [
        "picture of None",
        "mark of None, 2 of that",
        "clip None of log-v",
    ]
