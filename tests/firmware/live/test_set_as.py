"""A preset of the kit on a running unit: view, profile and goal; a lock stays what it is."""

from dataclasses import replace

import pytest

from firmware.actions import Press, SetAs
from firmware.live.locking import Locking
from firmware.live.railing import acted
from firmware.live.state import after
from firmware.presets.model import Allowed, Lock
from overlays.signal.quantities import stops
from tests import views
from tests.firmware.live.test_remembered import start

ASKED = SetAs("watch", "HLG", stops(-1.0), 0.25)


def locked(*allows, is_on=True):
    lock = Lock(frozenset(allows), (Press.HOLD,) * 4)
    return replace(start(), view=views.TARGET, locking=Locking(lock, views.TARGET, is_on))


def goal(state):
    return state.in_use.target, state.in_use.within_stops


def test_view_profile_and_goal_are_as_it_says():
    state = acted(start(), ASKED)
    assert (state.view.name, state.in_use.name) == ("watch", "hlg")
    assert goal(state) == (stops(-1.0), 0.25)
    # The goal holds on whatever profile is turned to, as that of a preset's file does.
    assert goal(after(state, Press.NEXT_PROFILE)) == (stops(-1.0), 0.25)


def test_what_was_set_by_hand_waits_with_its_profile():
    nudged = after(start(), Press.STRIPE_UP)
    there = acted(nudged, SetAs(profile="hlg"))
    assert there.stripes == there.in_use.stripes
    assert acted(there, SetAs(profile="log-v")).stripes == nudged.stripes


@pytest.mark.parametrize("asked", [SetAs(), SetAs(profile="no such one"), SetAs(profile="log-v")])
def test_what_it_does_not_name_or_a_unit_does_not_have_stays(asked):
    assert acted(start(), asked) == start()


@pytest.mark.parametrize("allows", [(), (Allowed.SPOT, Allowed.CLEAR, Allowed.MARK, Allowed.PAGE)])
def test_a_locked_unit_stays_as_it_is(allows):
    assert acted(locked(*allows), ASKED) == locked(*allows)


def test_where_its_own_preset_allows_it_it_goes_along_and_stays_locked():
    state = acted(locked(Allowed.PRESET), ASKED)
    assert (state.view.name, state.locking.view.name) == ("watch", "watch")
    assert state.locking.is_on
    assert state.locking.lock == locked(Allowed.PRESET).locking.lock


def test_a_lock_that_is_lifted_keeps_nothing_out():
    state = acted(locked(is_on=False), ASKED)
    assert state.view.name == "watch"
    assert not state.locking.is_on
