from hypothesis import given
from hypothesis import strategies as st

from firmware.actions import Contact, Edge, PlaceSpot, Press, RailPress, Touch
from firmware.controls.holding import AGAIN_NS, LONG_NS, MOST_AGAIN, Holding

CLOSED, OPENED = Contact.CLOSED, Contact.OPENED


def test_a_short_press_counts_when_it_ends():
    holding = Holding()
    assert holding.presses([Edge(2, CLOSED)], 0) == []
    assert holding.presses([], LONG_NS - 1) == []
    assert holding.presses([Edge(2, OPENED)], LONG_NS - 1) == [RailPress(2)]


def test_a_long_press_acts_while_it_is_held_and_once():
    holding = Holding()
    holding.presses([Edge(0, CLOSED)], 0)
    assert holding.presses([], LONG_NS) == [RailPress(0, Touch.LONG)]
    assert holding.presses([], LONG_NS + AGAIN_NS - 1) == []
    assert holding.presses([Edge(0, OPENED)], LONG_NS + AGAIN_NS - 1) == []


def test_what_is_held_on_is_told_again_at_an_even_pace_and_not_for_ever():
    holding = Holding()
    holding.presses([Edge(1, CLOSED)], 0)
    told, now_ns = [], 0
    while now_ns < LONG_NS + 2 * MOST_AGAIN * AGAIN_NS:
        now_ns += 20_000_000
        told += holding.presses([], now_ns)
    assert told[0] == RailPress(1, Touch.LONG)
    assert told[1:] == [RailPress(1, Touch.AGAIN)] * (MOST_AGAIN - 1)


def test_the_moments_of_a_button_count_and_not_when_somebody_looked():
    holding = Holding()
    edges = [Edge(3, CLOSED, 10), Edge(3, OPENED, 10 + LONG_NS)]
    assert holding.presses(edges, 5 * LONG_NS) == [RailPress(3, Touch.LONG)]
    edges = [Edge(3, CLOSED, 10), Edge(3, OPENED, 9 + LONG_NS)]
    assert holding.presses(edges, 5 * LONG_NS) == [RailPress(3)]


def test_a_key_let_go_of_while_nobody_looked_was_not_held():
    holding = Holding()
    assert holding.presses([Edge(0, CLOSED)], 0) == []
    assert holding.presses([Edge(0, OPENED)], 5 * LONG_NS) == [RailPress(0)]


def test_a_click_and_a_touch_of_the_same_label_are_one_press():
    holding = Holding()
    twice = [Edge(0, CLOSED), Edge(0, CLOSED), Edge(0, OPENED), Edge(0, OPENED)]
    assert holding.presses(twice, 0) == [RailPress(0)]


def test_other_actions_pass_in_their_order():
    holding = Holding()
    given_ = [Press.HOLD, Edge(1, CLOSED), PlaceSpot(3, 4), Edge(1, OPENED), Press.HELP]
    assert holding.presses(given_, 0) == [Press.HOLD, PlaceSpot(3, 4), RailPress(1), Press.HELP]


@given(
    st.lists(
        st.tuples(st.integers(0, 3), st.sampled_from(list(Contact)), st.integers(0, 2 * LONG_NS)),
        max_size=40,
    )
)
def test_whatever_contacts_do_no_press_is_told_without_one(steps):
    holding, now_ns, closed, told = Holding(), 0, 0, 0
    for button, contact, wait_ns in steps:
        now_ns += wait_ns
        closed += contact is CLOSED
        found = holding.presses([Edge(button, contact)], now_ns)
        presses = [each for each in found if isinstance(each, RailPress)]
        assert presses == found
        told += sum(each.touch is not Touch.AGAIN for each in presses)
    assert told <= closed
