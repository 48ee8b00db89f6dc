from dataclasses import replace

import pytest

from firmware.instruments.registry import REGISTRY
from firmware.instruments.watch.answer import Told
from firmware.instruments.watch.timing import Moment
from firmware.journal.composing import mark_of
from firmware.journal.found_again import alike, by_seal, left_out, named
from firmware.journal.row import RowKind
from firmware.journal.seen_events import SeenEvent, event_of
from firmware.journal.slate import Slate
from firmware.journal.verify import counted, wrong_numbers
from overlays.measure.watch.change import Change
from overlays.measure.watch.events import PinChange, TakeEvent
from tests.marked import SMALL, followed, mark, stamp

FOUND = {"a": 1, "b": [{"c": 2.0, "d": "x", "e": True}, {"c": None, "f": 3}]}


def test_numbers_are_called_by_where_they_stand():
    assert named(FOUND) == ("a", "b.c", "b.f")
    assert named(None) == named({}) == named("3") == ()


def test_what_stands_where_something_was_found_again():
    assert alike(FOUND, {"b": [{"d": ""}, {"f": 4}]}) == {"b": [{"d": "x"}, {"f": 3}]}
    assert alike(FOUND, {"g": 1}) == {"g": None}
    assert alike([1], [1, 2]) == [1]  # and is then not what was found


def test_what_is_left_out_is_missed_unless_it_is_named():
    assert left_out(FOUND, {"a": 1}, ("b",)) == []
    (said,) = left_out(FOUND, {"a": 1}, ("b.c",))
    assert said.startswith("b.f cannot be found again")


def test_a_mark_of_places_has_nothing_but_the_words_of_the_screen_by_its_seal():
    assert by_seal(mark(SMALL, "pins")) == ("words",)


def test_what_the_machine_said_of_itself_is_held_by_the_seal():
    row = mark(SMALL, "pins")
    row = replace(row, body={**row.body, "health": {"temperature": 41.0}})
    assert by_seal(row) == ("words", "health")
    assert counted(row)[1] == 1


def test_a_mark_and_an_event_of_before_0_10_are_held_as_they_were():
    made = mark_of(followed("target", (SMALL, f"{SMALL},exposure=1")))
    old = replace(made, body={k: v for k, v in made.body.items() if k not in {"decided", "others"}})
    assert list(wrong_numbers(old)) == []
    assert by_seal(old) == ("within", "off", "off_pm", "times_out", "farthest", "words")
    assert counted(old)[1] == 5


@pytest.fixture
def old_event():
    step = TakeEvent(Change.STEP, 0, 10**9, (PinChange(1, (0.5, 0.0, 0.0), (0.5, 0.0, 0.0)),), 1)
    moment = Moment(0.0, None, None)
    line = REGISTRY.of_command("watch")
    row = event_of(SeenEvent(Told(step, moment, moment, "now"), line, SMALL, stamp()), Slate())
    assert row.kind is RowKind.EVENT
    return row


def test_an_event_without_means_says_so(old_event):
    old = replace(old_event, body={"event": old_event.body["event"]})
    assert list(wrong_numbers(old)) == []
    assert "pins.by.stops" in by_seal(old)
    assert counted(old)[0] == 0


def test_an_event_whose_means_are_not_known_names_what_they_made(old_event):
    body = {**old_event.body, "decided": {**old_event.body["decided"], "end_ns": 3 * 10**9}}
    assert by_seal(old_event) == ("pins.by", "pins.off", "words")
    assert any("end.seconds" in each for each in wrong_numbers(replace(old_event, body=body)))


@pytest.mark.parametrize("decided", [3, {}, {"first_ns": "x"}, [], {"pins": [{}]}])
def test_what_an_event_was_decided_from_may_be_anything_and_is_a_sentence(old_event, decided):
    row = replace(old_event, body={**old_event.body, "decided": decided})
    (fault,) = wrong_numbers(row)
    assert fault.startswith("cannot be recomputed: ")
