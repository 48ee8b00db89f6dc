import pytest

from firmware.actions import Contact, Edge, Press
from firmware.controls.holding import LONG_NS
from firmware.feeds.base import FeedInfo
from firmware.live.hands import REST_NS, Hands
from firmware.live.state import first_state
from firmware.profiles.shelf import load_profile
from firmware.rail.pages import At, Leaf
from overlays.signal.signal import Signal
from tests import views


@pytest.fixture
def state():
    info = FeedInfo("x", "y", 1920, 1080, Signal(), 25.0)
    return first_state((load_profile("log-v"),), info, views.EXPOSE)


def test_presses_follow_each_other_each_on_the_page_before_it(state):
    hands = Hands()
    first = [Edge(0, Contact.CLOSED), Edge(0, Contact.OPENED)]
    done = hands.after(state, [*first, *first], 0)  # the index, and its first view
    assert (done.view.name, done.rail) == ("picture", At())


def test_a_press_that_goes_on_while_nobody_looks_is_long(state):
    hands = Hands()
    state = hands.after(state, [Edge(0, Contact.CLOSED)], 0)
    assert state.rail == At()
    assert hands.after(state, [], LONG_NS).rail == At(Leaf.MORE)


def test_the_rail_rests_once_nothing_was_done_for_a_while(state):
    hands = Hands()
    state = hands.after(state, [Press.STRIPES], 5)
    assert not hands.after(state, [], 4 + REST_NS).is_resting
    rested = hands.after(state, [], 5 + REST_NS)
    assert rested.is_resting
    assert hands.after(rested, [], 6 + REST_NS) is rested  # nothing new: nothing is painted anew
    assert not hands.after(rested, [Press.STRIPES], 7 + REST_NS).is_resting


def test_at_the_start_it_is_there(state):
    hands = Hands()
    assert not hands.after(state, [], 10**15).is_resting
