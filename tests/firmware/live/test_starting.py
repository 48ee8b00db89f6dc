import math
from dataclasses import replace
from types import SimpleNamespace

import pytest

from firmware.feeds.base import FeedInfo
from firmware.live.run_plan import RunPlan
from firmware.live.starting import starting_state, usual_stripes
from firmware.opening.session import Session
from firmware.presets.model import Lock
from firmware.profiles.model import curve_alone
from firmware.profiles.shelf import load_profile, shipped_names
from overlays.measure.counting.bands import BandKind
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.published import published_curve, published_curves
from overlays.signal.quantities import stops
from overlays.signal.signal import Range, Signal, SignalOverride
from tests import views

WHITE = math.log2(0.9 / 0.18)

INFO = FeedInfo("bench", "", 1920, 1080, Signal(), 25.0)


def session(profile, **how):
    """A feed of that info, opened with a profile."""
    return Session(SimpleNamespace(info=INFO), profile, is_guess=False, **how)


def test_the_profile_in_use_comes_first_and_each_that_ships_once():
    made = starting_state(session(load_profile("hlg")), views.EXPOSE)
    assert made.profiles[0].name == "hlg"
    assert sorted(p.name for p in made.profiles) == sorted(shipped_names())


def test_a_curve_without_a_profile_gets_the_usual_stripes():
    made = starting_state(session(curve_alone(published_curve("BT.709"))), views.EXPOSE)
    assert [band.kind for band in made.stripes] == [BandKind.AROUND, BandKind.ABOVE]
    assert str(made.stripes[0]) == "0 st ± 0.2 st"


def test_the_usual_ceiling_is_that_of_the_range_as_it_is_said():
    log = curve_alone(published_curve("V-Log"))
    full = session(log, override=SignalOverride(range=Range.FULL))
    for opened, signal in ((session(log), Signal()), (full, Signal(range=Range.FULL))):
        made = starting_state(opened, views.EXPOSE)
        assert made.stripes == usual_stripes(log, signal)


def test_the_state_starts_with_what_is_known_of_the_feed_and_what_was_asked_for():
    override = SignalOverride(range=Range.FULL)
    opened = replace(session(load_profile("hlg"), override=override), is_guess=True)
    made = starting_state(opened, views.WATCH)
    assert (made.columns, made.rows, made.rate) == (1920, 1080, 25.0)
    assert (made.view, made.is_guess, made.override) == (views.WATCH, True, override)


@pytest.mark.parametrize("curve", published_curves(), ids=lambda c: c.name)
def test_the_usual_ceiling_lies_a_third_of_a_stop_or_a_little_more_below_the_clip(curve):
    signal = Signal(bits=10)
    bands = usual_stripes(curve_alone(curve), signal)
    ceiling = bands[1].at.number
    below = yardstick(signal, curve).clip_stops - ceiling
    # Where that would stripe a white card, it begins above the card.
    low = 1 / 3 if ceiling > WHITE + 0.1 else 0.0
    assert low - 1e-9 <= below <= 1 / 3 + 0.1 + 1e-9


@pytest.mark.parametrize("curve", published_curves(), ids=lambda c: c.name)
def test_a_white_card_as_it_should_be_is_in_no_stripe(curve):
    # A white card of 90 %, grey at 18 %: common practice, no source.
    for band in usual_stripes(curve_alone(curve), Signal(bits=10)):
        assert band.kind is BandKind.AROUND or band.at.number > WHITE


def test_a_plan_may_say_another_goal_than_the_profiles_and_lock_it():
    plan = RunPlan(view=views.WATCH, goal=(stops(-1.0), 0.2), lock=Lock())
    made = starting_state(session(load_profile("hlg")), views.WATCH, plan=plan)
    goals = {(each.goal.target.number, each.goal.within_stops) for each in made.profiles}
    assert goals == {(-1.0, 0.2)}
    assert made.setting("advice").target == stops(-1.0)
    assert (made.locking.view, made.locking.is_on) == (views.WATCH, True)
    plain = starting_state(
        session(load_profile("hlg")), views.WATCH, plan=RunPlan(view=views.WATCH)
    )
    assert plain == starting_state(session(load_profile("hlg")), views.WATCH)
