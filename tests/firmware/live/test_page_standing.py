"""From the state and what is painted to what a page shows."""

from dataclasses import replace

import numpy as np
import pytest

from firmware.actions import Press
from firmware.instruments.registry import REGISTRY
from firmware.live.locking import Locking
from firmware.live.page_standing import REST, SLATE, VIEWS, seen_of, standing_of, taken_of
from firmware.live.state import after
from firmware.presets.model import Allowed, Lock
from overlays.draw.moment.shown import Face, Shown
from tests import views
from tests.firmware.live.test_remembered import start
from tests.moments import every_view


@pytest.fixture(scope="module")
def shown():
    found: list[Shown] = []
    every_view("bench:size=320x180,rate=2", None, found.append, views=["expose", "balance"])
    return {each.view.name: each for each in found}


def presses(standing):
    return {press for sheet in standing.sheets for _, press in sheet.entries}


def locked(*allows):
    lock = Lock(frozenset(allows))
    return replace(start(), locking=Locking(lock, views.EXPOSE))


def test_all_views_profiles_and_presses_stand_there():
    state = start()
    made = standing_of(state)
    assert made.views == tuple(view.name for view in REGISTRY.views())
    assert made.profiles == tuple(each.title for each in state.profiles)
    assert (made.is_locked, made.places, made.pins_allowed) == (False, True, True)
    assert {Press.MARK, Press.HOLD, Press.NEXT_PROFILE, Press.STRIPES} <= presses(made)


def test_the_first_page_of_the_rail_stands_there_as_it_is():
    made = standing_of(start())
    assert [each.label for each in made.pressed] == ["views ›", "grey card", "stripes off", "mark"]
    assert [each.opens for each in made.pressed] == [VIEWS, "", "", SLATE]
    assert [each.opens for each in made.held if each is not None] == [REST, "", REST, ""]
    assert made.held[2].section == made.sheets[1].title


def test_a_locked_unit_offers_what_it_takes_and_no_more():
    made = standing_of(locked(Allowed.SPOT))
    assert (made.views, made.profiles, made.is_locked) == ((), (), True)
    assert (made.places, made.pins_allowed) == (True, False)
    assert presses(made)
    assert all(press.name.startswith("SPOT_") for press in presses(made))
    nothing = standing_of(locked())
    assert (presses(nothing), nothing.places) == (set(), False)
    assert {*nothing.pressed, *nothing.held} == {None}


def test_pins_stand_there_with_their_flags():
    state = after(start(), Press.SET_PIN)
    pins = standing_of(state).pins
    assert [pin.label for pin in pins] == ["1 white", "2 edge", "3"]
    assert pins[-1].place == state.spot


def test_what_is_seen_holds_no_frame(shown):
    seen = seen_of(shown["expose"], standing_of(start()))
    frame = shown["expose"].measured.frame
    for name in seen.__dataclass_fields__:
        assert getattr(seen, name) is not frame
        assert getattr(seen, name) is not shown["expose"].measured.census
    assert (seen.number, seen.size) == (frame.number, (frame.columns, frame.rows))


def test_a_report_of_another_view_is_not_shown_as_this_ones(shown):
    balance = shown["balance"]
    assert seen_of(balance, standing_of(start())).report is not None
    turned = replace(balance, view=views.PINS)
    assert seen_of(turned, standing_of(start())).report is None


def test_copies_stay_when_the_frame_is_written_anew(shown):
    now = shown["expose"]
    planes = tuple(plane.copy() for plane in now.measured.frame.planes)
    lent = replace(now.measured.frame, planes=planes)
    taken = taken_of(replace(now, measured=replace(now.measured, frame=lent)))
    before = [plane.copy() for plane in taken.frame.planes]
    for plane in planes:
        plane[:] = 0
    assert all(np.array_equal(*both) for both in zip(before, taken.frame.planes, strict=True))
    assert not np.shares_memory(taken.census.levels, now.measured.census.levels)


def test_stripes_are_painted_where_the_screen_would(shown):
    assert taken_of(shown["expose"]).bands
    assert taken_of(replace(shown["expose"], painted=False)).bands == ()
    assert taken_of(shown["balance"]).bands == ()  # over colours that are to be judged
    assert taken_of(replace(shown["expose"], face=Face.STALE)).bands == ()


def test_without_a_picture_there_is_none_to_take(shown):
    assert taken_of(replace(shown["expose"], face=Face.LOST)) is None
    assert taken_of(replace(shown["expose"], measured=None)) is None
