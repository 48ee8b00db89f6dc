"""A watch of before 0.11 found again: its events by their means, its pins by the codes."""

from dataclasses import replace

import pytest

from firmware.journal.found_again import by_seal
from firmware.journal.row import RowKind
from firmware.journal.verify import counted, wrong_numbers
from tests.marked import row_of_before, rows_of_before

EVENTS = {"step", "passing"}


@pytest.fixture
def row():
    return row_of_before("watch")


@pytest.fixture
def event_rows():
    return [row for row in rows_of_before() if row.kind is RowKind.EVENT]


def test_a_mark_of_a_watch_is_found_again_but_for_what_is_named(row):
    answer = row.body["answer"]
    assert {each["change"] for each in answer["events"]} == EVENTS
    assert list(wrong_numbers(row)) == []
    assert by_seal(row) == ("frames", "pins.surest_s", "words")
    assert counted(row)[1] == 1 + 2
    assert answer["pins"][0]["stops"] == row.body["read"]["spots"][1]["stops"]


@pytest.mark.parametrize(
    ("path", "said"),
    [
        (("seconds",), "watch.seconds is "),
        (("pins", 0, "off", "stops"), "watch.pins 1.off.stops is "),
        (("pins", 1, "reference", "r"), "watch.pins 2.reference.r is "),
        (("pins", 1, "stops"), "watch.pins 2.stops is "),
        (("pins", 0, "pin"), "watch.pins 1.pin is "),
        (("tolerance", "level"), "watch.tolerance.level is "),
        (("events", 0, "pins", 0, "by", "stops"), "watch.events 1.pins 1.by.stops is "),
        (("events", 1, "pins", 0, "off", "b"), "watch.events 2.pins 1.off.b is "),
        (("events", 1, "start", "seconds"), "watch.events 2.start.seconds is "),
    ],
)
def test_a_number_that_is_altered_is_found(row, path, said):
    forged = with_changed(row.body, ("answer", *path))
    (fault,) = wrong_numbers(replace(row, body=forged))
    assert fault.startswith(said)


def with_changed(found, path):
    """A copy of an object of JSON in which one number is another."""
    if not path:
        return found + 1e-6 if isinstance(found, float) else found + 1
    key, *rest = path
    made = dict(found) if isinstance(found, dict) else list(found)
    made[key] = with_changed(found[key], rest)
    return made


def test_an_event_holds_the_codes_of_its_pins_and_the_means_it_was_decided_from(event_rows):
    assert {each.body["event"]["change"] for each in event_rows} == EVENTS
    for row in event_rows:
        assert list(wrong_numbers(row)) == []
        again, sealed = counted(row)
        assert (again > 30, sealed) == (True, 0)
        assert by_seal(row) == ("words",)
        means = row.body["decided"]["pins"][0]["means"]
        assert means["after"] != means["before"]


@pytest.mark.parametrize(
    "path",
    [
        ("event", "pins", 0, "by", "stops"),
        ("event", "end", "seconds"),
        ("seen", "read", "spots", 1, "stops"),
        ("seen", "read", "spots", 1, "percent_pm"),
        ("decided", "start_ns"),
    ],
)
def test_an_event_that_is_altered_is_found(event_rows, path):
    step = event_rows[-1]
    body = with_changed(step.body, path)
    if path[-1] == "start_ns":  # by a second: of a nanosecond no digit is printed
        body["decided"]["start_ns"] += 10**9
    assert list(wrong_numbers(replace(step, body=body))) != []


def test_the_level_after_a_step_is_what_its_codes_read(event_rows):
    """Means and codes of one event agree: the mean of some frames, and one of them."""
    step = next(each for each in event_rows if each.body["event"]["change"] == "step")
    for number, pin in enumerate(step.body["decided"]["pins"], start=1):
        read = step.body["seen"]["read"]["spots"][number]
        assert pin["means"]["after"][0] == pytest.approx(read["stops"], abs=0.1)


def test_means_that_were_taken_out_are_missed(row):
    pins = [{**each, "means": None} for each in row.body["decided"]["pins"]]
    body = {**row.body, "decided": {**row.body["decided"], "pins": pins}}
    assert any("cannot be found again" in each for each in wrong_numbers(replace(row, body=body)))
