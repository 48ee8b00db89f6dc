"""What was set, over a run: from the file, from one feed to the next, and back into the file."""

import json
from dataclasses import replace

import pytest

from firmware.actions import PlaceSpot, Press
from firmware.clock import HandClock
from firmware.kept.settings_file import read_kept
from firmware.live.locked import after as pressed_locked
from firmware.live.locking import Locking
from firmware.live.remembering import Remembering, asked_of
from firmware.live.run_plan import RunPlan
from firmware.live.state import after
from firmware.opening.overrides import Overrides
from firmware.presets.model import Allowed, Lock
from tests import views
from tests.firmware.live.test_remembered import start


@pytest.fixture
def path(tmp_path):
    return tmp_path / "settings.json"


def remembering(path=None, *, factory=False, **how):
    plan = RunPlan(view=views.EXPOSE, keep=path, **how)
    return Remembering(plan, HandClock(), lambda: factory)


def test_what_is_set_in_one_run_is_there_in_the_next(path):
    first = remembering(path)
    state = after(first.begin(start()), PlaceSpot(300, 300))
    assert first.note(state) == ""
    first.close()
    second = remembering(path)
    assert second.said == ()
    assert second.begin(start()).spot.column == 300
    second.close()


def test_a_run_in_which_nothing_is_set_writes_nothing(path):
    run = remembering(path)
    run.note(run.begin(start()))
    run.close()
    assert not path.exists()


def test_from_feed_to_feed_it_stays_without_a_file_too():
    run = remembering()
    run.note(after(run.begin(start(640, 360)), PlaceSpot(160, 90)))
    assert run.begin(start()).spot.column == 480
    run.close()


def test_while_a_feed_is_waited_for_what_was_set_on_it_keeps_every_pixel(path):
    small = start(333, 77)
    first = remembering(path)
    state = after(first.begin(small), PlaceSpot(101, 33))
    first.note(state)
    first.close()
    second = remembering(path)
    second.note(second.begin(start(1920, 1080)))  # of the feed that is not there
    assert second.begin(small).spot == state.spot
    second.close()


def test_a_factory_start_is_asked_for_only_where_something_was_kept(path):
    def never():
        raise AssertionError

    Remembering(RunPlan(view=views.EXPOSE, keep=path), HandClock(), never).close()
    run = remembering(path)
    run.note(after(run.begin(start()), Press.NEXT_VIEW))
    run.close()
    fresh = remembering(path, factory=True)
    assert "factory start" in fresh.said[0]
    assert fresh.begin(start()) == start()
    fresh.close()
    assert read_kept(path).kept is None


def test_a_damaged_file_is_said(path):
    path.write_text(json.dumps({"schema": 1}))
    run = remembering(path)
    assert "damaged" in run.said[0]
    run.close()


def test_what_is_asked_for_is_the_curve_where_no_profile_is():
    plan = RunPlan(view=views.EXPOSE, overrides=Overrides(curve="V-Log"))
    assert asked_of(plan).profile == "V-Log"
    assert asked_of(RunPlan(view=views.EXPOSE)).profile is None


@pytest.mark.parametrize("allows", [frozenset(), frozenset({Allowed.SPOT})])
def test_a_locked_unit_starts_as_its_preset_says_with_its_spot_where_it_may_be_moved(path, allows):
    owner = remembering(path)
    owner.note(after(owner.begin(start()), Press.NEXT_VIEW))
    owner.close()
    before = path.read_bytes()
    for _ in range(2):
        run = remembering(path, lock=Lock(allows))
        state = run.begin(start())
        assert (state.view, state.stripes) == (views.EXPOSE, start().stripes)
        # While the lock is lifted anything may be done, and is gone with the power.
        state = after(after(after(state, PlaceSpot(300, 300)), Press.NEXT_VIEW), Press.STRIPE_UP)
        run.note(state)
        run.close()
    again = remembering(path, lock=Lock(allows)).begin(start())
    assert again.spot.column == (300 if allows else start().spot.column)
    assert path.read_bytes() == before


def test_a_press_that_a_lock_refuses_is_said():
    run = remembering()
    lock = Locking(Lock(), views.EXPOSE)
    state = run.begin(replace(start(), locking=lock))
    assert run.note(state) == ""
    assert run.note(pressed_locked(state, Press.NEXT_VIEW)) == "locked"


def test_what_is_set_after_a_preset_of_the_kit_goes_over_it_at_the_next_start(path):
    first = remembering(path)
    state = first.begin(start())
    first.ask_anew("watch", None)
    first.note(replace(state, view=views.PINS))
    first.close()
    again = Remembering(RunPlan(view=views.WATCH, keep=path), HandClock(), lambda: False)
    assert again.begin(replace(start(), view=views.WATCH)).view == views.PINS
    again.close()
    # Another preset since, and that is what it starts as.
    other = Remembering(RunPlan(view=views.CHIPS, keep=path), HandClock(), lambda: False)
    assert other.begin(replace(start(), view=views.CHIPS)).view == views.CHIPS
    other.close()
