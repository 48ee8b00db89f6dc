from dataclasses import replace

import pytest

from firmware.actions import (
    Contact,
    Edge,
    PictureSize,
    PlaceSpot,
    Press,
    RailPress,
    Rest,
    ShowView,
    Touch,
)
from firmware.feeds.base import FeedInfo
from firmware.live.railing import acted, is_lining_up, labels_of, now_of, page_of
from firmware.live.state import Running, after, first_state
from firmware.profiles.shelf import load_profile
from firmware.rail.pages import At, Leaf
from overlays.draw.moment.lineup import GUIDE
from overlays.signal.signal import Signal
from tests import views

FIRST, SECOND, THIRD, FOURTH = range(4)


@pytest.fixture
def state():
    info = FeedInfo("x", "y", 1920, 1080, Signal(), 25.0)
    return first_state((load_profile("log-v"),), info, views.EXPOSE)


def test_a_button_does_what_stands_over_it(state):
    assert page_of(state)[FOURTH].held.label == "hold"
    held = acted(state, RailPress(FOURTH, Touch.LONG))
    assert held.held
    assert page_of(held)[FOURTH].held.label == "go on"
    assert acted(held, RailPress(FOURTH, Touch.LONG)) == state


def test_a_page_is_opened_and_a_view_chosen_there(state):
    index = acted(state, RailPress(FIRST))
    assert index.rail == At(Leaf.INDEX)
    assert index.view is state.view
    chosen = acted(index, RailPress(THIRD))
    assert (chosen.view.name, chosen.rail) == ("expose", At())


def test_a_button_without_a_label_does_nothing(state):
    at = replace(state, rail=At(Leaf.PROFILE))
    assert acted(at, RailPress(THIRD)) == at
    assert acted(at, RailPress(FIRST, Touch.AGAIN)) == at


def test_what_moves_goes_on_while_it_is_held(state):
    moving = replace(state, rail=At(Leaf.MOVE))
    for touch in (Touch.LONG, Touch.AGAIN, Touch.SHORT):
        moved = acted(moving, RailPress(SECOND, touch))
        assert moved.spot == after(moving, Press.SPOT_RIGHT).spot
        assert moved.rail == moving.rail


def test_a_pin_that_is_set_by_hand_ends_the_moving(state):
    moving = replace(state, rail=At(Leaf.MOVE))
    done = acted(moving, RailPress(FOURTH, Touch.LONG))
    assert len(done.desk.pins) == len(state.desk.pins) + 1
    assert done.rail == At()


def test_nobody_for_a_while_and_the_first_page_rests_until_anything_is_done(state):
    resting = acted(replace(state, rail=At(Leaf.MORE)), Rest())
    assert (resting.rail, resting.is_resting) == (At(), True)
    assert acted(resting, PictureSize(640, 360)).is_resting
    for action in (Press.HOLD, PlaceSpot(5, 5), RailPress(SECOND), ShowView("pins")):
        woken = acted(resting, action)
        assert not woken.is_resting
        assert woken != replace(resting, is_resting=False)  # and it has acted


def test_an_edge_alone_means_nothing_yet(state):
    assert acted(state, Edge(FIRST, Contact.CLOSED)) is state


def test_labels_stand_over_the_buttons_in_both_lines(state):
    labels = labels_of(state)
    assert len(labels) == 4
    assert (labels[SECOND].pressed, labels[SECOND].held) == ("grey card", "brightest")


def test_what_labels_depend_on_is_the_state_and_its_instrument(state):
    now = now_of(after(after(state, Press.STRIPES), Press.HELP))
    assert (now.view, now.is_painted, now.is_held, now.has_help) == ("expose", False, False, True)
    assert now.next_trace == "R G B"
    assert now_of(replace(state, view=views.MATCH)).offers.own[0].press is Press.SET_REFERENCE


def test_quit_is_reached_by_holding(state):
    at = acted(state, RailPress(FIRST, Touch.LONG))
    for _ in range(5):
        labels = labels_of(at)
        places = [n for n, label in enumerate(labels) if label.held == "quit"]
        if places:
            assert acted(at, RailPress(places[0], Touch.LONG)).running is Running.QUIT
            return
        at = acted(at, RailPress(FOURTH, Touch.LONG))
    raise AssertionError("quit is nowhere")


def test_the_panel_is_set_for_as_long_as_somebody_does(state):
    assert not is_lining_up(state)
    seen = replace(state, rail=At(Leaf.LINEUP))
    for step in range(len(GUIDE)):
        assert is_lining_up(seen)
        assert seen.rail.number == step
        # Whoever sets a panel presses its own buttons meanwhile: the rail does not rest.
        assert acted(seen, Rest()) == seen
        seen = acted(seen, RailPress(THIRD))
    assert seen.rail == At(Leaf.LINEUP, 0)
    assert acted(seen, RailPress(SECOND)).lights == 1
    darker = acted(acted(seen, RailPress(FIRST)), RailPress(FIRST, Touch.AGAIN))
    assert darker.lights == -2
    assert not is_lining_up(acted(seen, RailPress(FOURTH)))
    assert not is_lining_up(acted(seen, Press.HELP))  # the help lies over everything
