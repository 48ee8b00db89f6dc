"""Every press that a keyboard has is on the rail somewhere, in every view and state."""

from itertools import product

import pytest

from firmware.actions import Press, ShowView
from firmware.controls.keyboard import ENTRIES
from firmware.instruments.offers import Offer, Offers
from firmware.instruments.registry import REGISTRY
from firmware.profiles.shelf import load_profile
from firmware.rail.pages import At, Leaf
from firmware.rail.tree import FINE, Surroundings, page

PROFILE = load_profile("standard")
VIEWS = tuple(view.name for view in REGISTRY.views())
KEYS = {press for entry in ENTRIES for _, press in entry.keys}


def offers_of(view):
    instrument = REGISTRY.in_view(REGISTRY.view(view))
    return instrument.offers(instrument.settings(PROFILE, 25.0))


def walked(now):
    """Every page that can be come to from the first, with how many presses that takes at least."""
    depth, todo = {At(): 0}, [At()]
    for at in todo:
        for slot in page(at, now):
            for entry in (slot.pressed, slot.held):
                if entry is not None and isinstance(entry.does, At) and entry.does not in depth:
                    depth[entry.does] = depth[at] + 1
                    todo.append(entry.does)
    return depth


def entries(at, now):
    return [e for slot in page(at, now) for e in (slot.pressed, slot.held) if e is not None]


def presses(now):
    return {
        entry.does for at in walked(now) for entry in entries(at, now) if not isinstance(entry, At)
    }


@pytest.mark.parametrize("view", VIEWS)
def test_every_press_of_a_keyboard_is_on_the_rail_in_every_view(view):
    for painted, held in product((True, False), repeat=2):
        now = Surroundings(VIEWS, view, offers_of(view), is_painted=painted, is_held=held)
        missing = KEYS - presses(now)
        if offers_of(view).chosen == "":
            missing -= {Press.NEXT_STRIPE}  # it chooses nothing there
        if offers_of(view).turned == "":
            missing -= {Press.STRIPE_UP, Press.STRIPE_DOWN}  # and these move nothing
        assert missing == set()


def test_what_a_view_leaves_out_another_has():
    found = set().union(*(presses(Surroundings(VIEWS, view, offers_of(view))) for view in VIEWS))
    assert found >= KEYS


@pytest.mark.parametrize("view", VIEWS)
def test_every_view_is_two_presses_away(view):
    now = Surroundings(VIEWS, view, offers_of(view))
    depth = walked(now)
    near = [e.does for at in depth if depth[at] == 1 for e in entries(at, now)]
    assert {ShowView(name) for name in VIEWS} <= set(near)


@pytest.mark.parametrize("view", VIEWS)
def test_what_an_instrument_offers_stands_nowhere_under_another_name(view):
    """A press that clears the count in one view must not be "stripes on" on the next page."""
    offers = offers_of(view)
    now = Surroundings(VIEWS, view, offers)
    named = {each.press: each.label for each in offers.own}
    for at in (At(), At(Leaf.OWN)):
        for entry in entries(at, now):
            assert named.get(entry.does, entry.label) == entry.label
    if offers.own:  # it stands on the first page already
        assert offers.own[0].press not in {each.does for each in entries(At(Leaf.OWN), now)}


@pytest.mark.parametrize("view", VIEWS)
def test_every_page_leads_back_and_no_label_stands_twice_on_it(view):
    now = Surroundings(VIEWS, view, offers_of(view))
    for at in walked(now):
        found = entries(at, now)
        labels = [entry.label for entry in found]
        assert len(labels) == len(set(labels)), at
        back = At() in [entry.does for entry in found]
        assert back or at.leaf in {Leaf.ROOT, Leaf.INDEX}  # the index holds the view in use


def test_a_label_says_what_it_would_do_now():
    now = Surroundings(VIEWS, "expose")
    assert {"hold", "stripes off"} <= {entry.label for entry in entries(At(), now)}
    now = Surroundings(VIEWS, "expose", is_painted=False, is_held=True)
    assert {"go on", "stripes on"} <= {entry.label for entry in entries(At(), now)}


def test_the_instruments_word_goes_over_the_usual_one():
    offers = Offers((Offer("take reading", Press.HOLD), Offer("begin anew", Press.STRIPES)))
    now = Surroundings(VIEWS, "feedcheck", offers)
    every = [entry for at in walked(now) for entry in entries(at, now)]
    assert {e.label for e in every if e.does is Press.HOLD} == {"take reading"}
    assert {e.label for e in every if e.does is Press.STRIPES} == {"begin anew"}


def test_while_the_help_is_shown_it_can_be_closed_and_nothing_else():
    now = Surroundings(VIEWS, "expose", has_help=True)
    for leaf in Leaf:
        assert [entry.does for entry in entries(At(leaf), now)] == [Press.HELP]


@pytest.mark.parametrize("number", range(4))
def test_the_spot_moves_both_ways_in_far_and_fine_steps(number):
    now = Surroundings(VIEWS, "expose")
    slots = page(At(Leaf.MOVE, number), now)
    assert all(slot.goes_on for slot in slots[:2])
    names = [str(slot.pressed.does) for slot in slots[:2]]
    assert all(("FINE" in name) is bool(number & FINE) for name in names)
    assert slots[2].pressed.does == At(Leaf.MOVE, number ^ 1)
    assert slots[2].held.does == At(Leaf.MOVE, number ^ FINE)


def test_quitting_takes_a_long_press():
    now = Surroundings(VIEWS, "expose")
    for at in walked(now):
        assert all(
            slot.pressed is None or slot.pressed.does is not Press.QUIT for slot in page(at, now)
        )
    assert Press.QUIT in presses(now)


@pytest.mark.parametrize("count", [1, 4, 7, 8, 9, 15])
def test_however_many_views_there_are_each_is_on_the_rail(count):
    names = tuple(f"view{n}" for n in range(count))
    now = Surroundings(names, names[0])
    assert {ShowView(name) for name in names} <= presses(now)
