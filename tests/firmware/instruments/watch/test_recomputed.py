"""A watch found again: its events by their means, its pins by the codes of the mark."""

from dataclasses import replace

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.instruments.asking import Opener, Wanted
from firmware.instruments.registry import REGISTRY
from firmware.instruments.scene import Frames
from firmware.instruments.watch.instrument import INSTRUMENT, WatchSettings
from firmware.journal.composing import InView, mark_of
from firmware.journal.found_again import by_seal
from firmware.journal.profile_texts import profile_text
from firmware.journal.seen_events import SeenEvent, event_of
from firmware.journal.slate import Slate
from firmware.journal.verify import counted, wrong_numbers
from firmware.opening.overrides import Overrides
from tests.marked import stamp

BENCH = "bench:size=160x90,curve=V-Log"
PINS = ("0.5,0.5", "0.2,0.5")
EVENTS = {"step", "passing"}


def shifted(frame, levels):
    """The same picture, brighter or darker by so many codes of luma."""
    luma = np.clip(frame.planes[0].astype(np.int64) + levels, 16, 235).astype(np.uint8)
    return replace(frame, planes=(luma, *frame.planes[1:]))


@pytest.fixture(scope="module")
def watched():
    """A lamp that is away for a second, then goes down and stays: (answer in view, memory)."""
    with Opener(HandClock(10**9)).scene(Wanted(BENCH, None, Overrides(), 0, PINS)) as scene:
        first = replace(scene.kept(), frames=Frames.LIVE)
    rng, memory, settings = np.random.default_rng(1), INSTRUMENT.memory(), WatchSettings()
    for number in range(260):
        down = 20 if 60 <= number < 70 or number >= 150 else 0
        noisy = replace(shifted(first.frame, -down + int(rng.integers(0, 2))), number=number)
        time_ns = number * 100_000_000
        scene = replace(
            first,
            frame=replace(noisy, time_ns=time_ns),
            now_ns=time_ns,
            wall_s=1_700_000_000.0 + number / 10.0,
            spot=None,
            _read={},
        )
        INSTRUMENT.follow(scene, settings, memory, in_view=True)
    answer = INSTRUMENT.measure(scene, settings, memory)
    seen = InView(
        scene.frame,
        scene.yard,
        scene.place,
        None,
        INSTRUMENT.views[0],
        settings,
        answer,
        scene.desk,
        scene.read_with,
        profile_text(scene.profile),
        Slate(),
        stamp(),
    )
    return seen, memory


@pytest.fixture(scope="module")
def row(watched):
    return mark_of(watched[0])


@pytest.fixture(scope="module")
def event_rows(watched):
    _, memory = watched
    line = REGISTRY.of_command("watch")
    return [
        event_of(SeenEvent(each, line, BENCH, stamp(), INSTRUMENT.seen_at(memory, each)), Slate())
        for each in INSTRUMENT.events(memory)
    ]


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


def test_where_a_pin_was_moved_since_all_is_held_by_the_seal(watched):
    seen, _ = watched
    pins = (replace(seen.desk.pins[0], place=replace(seen.desk.pins[0].place, column=60)),)
    row = mark_of(replace(seen, desk=replace(seen.desk, pins=pins)))
    assert "decided" not in row.body
    assert list(wrong_numbers(row)) == []
    assert {"frames", "pins.off.stops", "events.pins.by.stops"} <= set(by_seal(row))
