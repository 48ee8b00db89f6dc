"""Actions are plain values, and each leads from one state to another."""

import dataclasses

import pytest

from firmware.actions import PictureSize, PlaceSpot, Press
from firmware.feeds.base import FeedInfo
from firmware.live.state import after, first_state
from firmware.profiles.shelf import shipped_profiles
from overlays.signal.signal import Signal
from tests import views


@pytest.mark.parametrize("action", [PlaceSpot(3, 4), PictureSize(64, 36)])
def test_actions_are_plain_values(action):
    assert action == dataclasses.replace(action)
    (first, *_) = dataclasses.fields(action)
    with pytest.raises(dataclasses.FrozenInstanceError):
        setattr(action, first.name, 0)


@pytest.mark.parametrize("action", [PlaceSpot(300, 200), PictureSize(64, 36), Press.HELP])
def test_every_kind_of_action_is_understood(action):
    info = FeedInfo("x", "y", 1920, 1080, Signal(), 25.0)
    start = first_state(shipped_profiles(), info, views.EXPOSE)
    assert after(start, action) != start


def test_no_two_presses_are_the_same():
    assert len({press.value for press in Press}) == len(list(Press)) == len(Press.__members__)
