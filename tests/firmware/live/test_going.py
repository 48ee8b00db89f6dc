"""The spot goes to things, and what cannot be found is said."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from firmware.actions import Aim, Press
from firmware.feeds.base import FeedInfo
from firmware.live.going import NO_PICTURE, sent
from firmware.live.state import after, first_state
from firmware.profiles.shelf import load_profile
from overlays.measure.card.card import FoundCard
from overlays.measure.card.three import FoundChips
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.gamuts import published_gamut
from overlays.signal.signal import Signal
from tests import views
from tests.moments import every_view

GAMUT = published_gamut("BT.709")
CHIPS = (("black", 0.7, 0.6), ("white", 0.6, 0.4), ("grey", 0.5, 0.45), ("skin", 0.2, 0.3))


def state(pins=()):
    profile = replace(load_profile("log-v"), pins=pins)
    return first_state((profile,), FeedInfo("x", "y", 1920, 1080, Signal(), 25.0), views.EXPOSE)


def seen(brightest=(100, 200), darkest=(300, 400)):
    """A moment in which the extremes lie there."""
    things = [SimpleNamespace(column=x, row=y) for x, y in (brightest, darkest)]
    extremes = SimpleNamespace(brightest=things[0], darkest=things[1])
    return SimpleNamespace(
        frame=SimpleNamespace(columns=1920, rows=1080), yard=None, range=extremes
    )


def went(press, start=None, moment=None):
    """(column, row) of the spot after a press, and what is said."""
    pressed = after(start or state(), press)
    made, words = sent(pressed, moment, GAMUT)
    return (made.spot.column, made.spot.row), words


def test_to_the_extremes_as_they_were_read():
    assert went(Press.SPOT_TO_BRIGHTEST, moment=seen()) == (
        (100, 200),
        "spot on the brightest thing",
    )
    assert went(Press.SPOT_TO_DARKEST, moment=seen()) == ((300, 400), "spot on the darkest thing")


@pytest.mark.parametrize(
    "press", [Press.SPOT_TO_CARD, Press.SPOT_TO_BRIGHTEST, Press.SPOT_TO_DARKEST]
)
def test_without_a_picture_it_stays_and_says_so(press):
    assert went(press) == ((960, 540), NO_PICTURE)


def test_extremes_that_are_not_known_are_said():
    moment = seen()
    moment.range = None
    assert went(Press.SPOT_TO_DARKEST, moment=moment) == (
        (960, 540),
        "the darkest thing is not known",
    )


@pytest.mark.parametrize(
    ("found", "place", "words"),
    [
        (FoundCard(SpotPlace(500, 300, 48), "the card", True), (500, 300), "spot on the card"),
        (FoundCard(None, "no card was found"), (960, 540), "no card was found"),
    ],
)
def test_to_the_card_or_why_there_is_none(found, place, words, monkeypatch):
    asked = []

    def find(*given):
        asked.append(given)
        return found

    monkeypatch.setattr("firmware.live.going.find_card", find)
    moment = seen()
    assert went(Press.SPOT_TO_CARD, moment=moment) == (place, words)
    assert asked == [(moment.frame, moment.yard, GAMUT, 48)]


def test_pins_one_after_the_other_by_their_names():
    made, told = state(CHIPS), []
    for _ in range(5):
        made, words = sent(after(made, Press.SPOT_TO_PIN), None, GAMUT)
        told.append(words)
        number = int(words.split()[3].rstrip(","))
        assert made.spot.column == made.desk.pins[number - 1].place.column
    assert told[0] == told[4] == "spot on pin 1, black"
    assert [words.split()[3] for words in told] == ["1,", "2,", "3,", "4,", "1,"]


def test_chips_in_their_order_wherever_their_pins_stand():
    made, told = state(CHIPS), []
    for _ in range(4):
        made, words = sent(after(made, Press.SPOT_TO_CHIP), None, GAMUT)
        told.append(words)
    assert told == [f"spot on the {name} chip" for name in ("white", "grey", "black", "white")]


def test_chips_without_pins_are_looked_for_and_pinned(monkeypatch):
    places = tuple(SpotPlace(column, 300, 48) for column in (400, 500, 600))
    found = FoundChips(places, "a white, a grey and a black side by side")
    monkeypatch.setattr("firmware.live.going.find_chips", lambda *_given: found)
    start = state((("window", 0.1, 0.1),))
    made, words = sent(after(start, Press.SPOT_TO_CHIP), seen(), GAMUT)
    assert [(pin.name, pin.place) for pin in made.desk.pins[1:]] == list(
        zip(("white", "grey", "black"), places, strict=True)
    )
    assert made.desk.pins[0] == start.desk.pins[0]
    assert made.desk.chips() == (2, 3, 4)
    assert (made.spot.column, made.spot.row) == (500, 300)
    assert words.startswith("pins set on a white, a grey and a black side by side: look")
    # From then on the same press goes from one to the next.
    assert sent(after(made, Press.SPOT_TO_CHIP), seen(), GAMUT)[1] == "spot on the black chip"


def test_chips_that_are_not_found_leave_everything_as_it_was(monkeypatch):
    monkeypatch.setattr("firmware.live.going.find_chips", lambda *_: FoundChips(None, "none"))
    start = after(state(), Press.SPOT_TO_CHIP)
    assert sent(start, seen(), GAMUT) == (start, "none")


def test_where_there_are_none_it_says_so():
    assert went(Press.SPOT_TO_PIN)[1] == "no pin is set"
    assert went(Press.SPOT_TO_CHIP)[1] == "no pins are set on the three chips"


def test_one_press_after_the_other_comes_to_every_thing():
    made, things = state(CHIPS), []
    for _ in range(len(Aim) + 1):
        made = after(made, Press.SPOT_TO_NEXT)
        things.append(made.sought)
    assert things[:-1] == list(Aim)
    assert things[-1] is things[0]


def test_from_a_thing_the_spot_is_nudged_as_from_anywhere():
    made, _ = sent(after(state(), Press.SPOT_TO_BRIGHTEST), seen(), GAMUT)
    nudged = after(made, Press.SPOT_RIGHT_FINE)
    assert (nudged.spot.column, nudged.spot.row) == (101, 200)
    assert nudged.spot.size == made.spot.size


def test_on_the_screen_one_press_reads_the_benchs_card_and_one_its_window():
    """From a cold start: a press reads the grey card, another the brightest thing."""
    moments: list[Any] = []
    for press in (Press.SPOT_TO_CARD, Press.SPOT_TO_BRIGHTEST):
        every_view(
            "bench:size=640x360,rate=5,curve=V-Log",
            None,
            moments.append,
            spot=(30, 330),
            presses={"expose": (press,)},
            views=["expose"],
        )
    card, window = moments
    assert card.note == "spot on the largest flat, nearly neutral thing"
    assert card.measured.spot.stops == pytest.approx(0.0, abs=0.03)
    assert window.note == "spot on the brightest thing"
    brightest, spot = window.measured.range.brightest, window.measured.spot
    assert (spot.place.column, spot.place.row) == (brightest.column, brightest.row)
    # The spot keeps its size, twice that of the thing: bars of the window come into it.
    assert brightest.stops - 1.0 < spot.stops <= brightest.stops
