"""A watch made again of codes: marks and events hold no number that is not."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from firmware.clock import HandClock
from firmware.instruments.asking import Opener, Wanted
from firmware.instruments.registry import REGISTRY
from firmware.instruments.scene import Frames
from firmware.instruments.watch.answer import Told
from firmware.instruments.watch.from_codes import event, keep_event
from firmware.instruments.watch.instrument import INSTRUMENT, WatchSettings
from firmware.instruments.watch.timing import Moment
from firmware.journal.composing import mark_of
from firmware.journal.found_again import by_seal
from firmware.journal.in_view import InView
from firmware.journal.profile_texts import profile_text
from firmware.journal.seen_events import SeenEvent, event_of
from firmware.journal.slate import Slate
from firmware.journal.verify import counted, wrong_numbers
from firmware.opening.overrides import Overrides
from overlays.measure.watch.change import Between, Happening
from overlays.measure.watch.events import PinChange, TakeEvent
from overlays.signal.published import published_curves
from tests.marked import stamp

BENCH = "bench:size=160x90,curve=V-Log"
PINS = ("0.5,0.5", "0.2,0.5")
EVENTS = {"step", "passing"}
DIGIT = 1e-6
"""The last that is printed."""


def shifted(frame, levels):
    """The same picture, brighter or darker by so many codes of luma."""
    top = (1 << frame.signal.bits) - 1
    kind = frame.planes[0].dtype
    luma = np.clip(frame.planes[0].astype(np.int64) + levels, 0, top).astype(kind)
    return replace(frame, planes=(luma, *frame.planes[1:]))


def at(first, number, levels):
    time_ns = number * 100_000_000
    frame = replace(shifted(first.frame, levels), number=number, time_ns=time_ns)
    wall_s = 1_700_000_000.0 + number / 10.0
    return replace(first, frame=frame, now_ns=time_ns, wall_s=wall_s, spot=None, _read={})


@pytest.fixture(scope="module")
def watched():
    """A lamp that is away for a second, then goes down and stays: (answer in view, memory)."""
    return watch_of(BENCH, 260, lambda number: 60 <= number < 70 or number >= 150)


def watch_of(feed, frames, is_down):
    """A watch of a bench whose light is down in some of its frames, ten a second."""
    with Opener(HandClock(10**9)).scene(Wanted(feed, None, Overrides(), 0, PINS)) as scene:
        first = replace(scene.kept(), frames=Frames.LIVE)
    rng, memory, settings = np.random.default_rng(1), INSTRUMENT.memory(), WatchSettings()
    for number in range(frames):
        down = 20 if is_down(number) else 0
        scene = at(first, number, -down + int(rng.integers(0, 2)))
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


@pytest.mark.parametrize("curve", published_curves(), ids=lambda curve: curve.name)
def test_on_every_curve_marks_and_events_are_made_of_codes(curve):
    watched_whole(f"bench:size=160x90,curve={curve.name}")


@pytest.mark.parametrize("signal", ["nv12", "yuv422-10", "rgb"])
def test_on_every_kind_of_signal(signal):
    watched_whole(f"{BENCH},signal={signal}")


def watched_whole(feed):
    seen, memory = watch_of(feed, 100, lambda number: 40 <= number < 50)
    rows = [mark_of(seen)]
    for each in INSTRUMENT.events(memory):
        rows.append(event_row(each, INSTRUMENT.seen_at(memory, each)))
    assert rows[0].body["answer"]["pins"][1]["reference"] is not None
    for row in rows:
        assert (list(wrong_numbers(row)), counted(row)[1], by_seal(row)) == ([], 0, ())


def event_row(each, codes):
    return event_of(SeenEvent(each, REGISTRY.of_command("watch"), BENCH, stamp(), codes), Slate())


@pytest.fixture(scope="module")
def event_rows(watched):
    _, memory = watched
    found = INSTRUMENT.events(memory)
    return [event_row(each, INSTRUMENT.seen_at(memory, each)) for each in found]


def numbers_of(found, where=()):
    """Paths to all numbers in an object of JSON."""
    if isinstance(found, dict | list):
        items = found.items() if isinstance(found, dict) else enumerate(found)
        for key, each in items:
            yield from numbers_of(each, (*where, key))
    elif isinstance(found, int | float) and not isinstance(found, bool):
        yield where


def with_changed(found, path, by=DIGIT):
    """A copy of an object of JSON in which one number is another."""
    if not path:
        return found + by if isinstance(found, float) else found + 1
    key, *rest = path
    made = dict(found) if isinstance(found, dict) else list(found)
    made[key] = with_changed(found[key], rest, by)
    return made


def test_a_mark_of_a_watch_holds_nothing_by_its_seal_alone(row):
    assert list(wrong_numbers(row)) == []
    assert by_seal(row) == ()
    again, sealed = counted(row)
    assert (again > 60, sealed) == (True, 0)
    answer = row.body["answer"]
    assert (answer["frames"], answer["pins"][0]["surest_s"]) == (None, None)
    assert answer["events"] == []  # they stand in rows of their own


def test_what_it_says_of_a_pin_is_what_the_watch_said(watched, row):
    """Means over the same frames: to the last digit what the screen had."""
    for state, told in zip(watched[0].answer.pins, row.body["answer"]["pins"], strict=True):
        assert told["reference"]["stops"] == round(state.reference[0], 6)
        for key, off in zip(("stops", "r", "b"), state.off_stops, strict=True):
            assert told["off"][key] == round(off, 6)
        assert told["off"]["stops"] < -0.5


def test_every_number_of_a_mark_that_is_altered_is_found(row):
    skipped = {"schema", "feed", "profile", "warnings"}
    answer = row.body["answer"]
    paths = [path for path in numbers_of(answer) if path[0] not in skipped]
    assert len(paths) > 25
    for path in paths:
        forged = replace(row, body=with_changed(row.body, ("answer", *path)))
        (fault,) = wrong_numbers(forged)
        assert fault.startswith("watch."), path


def test_every_number_of_an_event_that_is_altered_is_found(event_rows):
    assert {each.body["event"]["change"] for each in event_rows} == EVENTS
    for each in event_rows:
        paths = list(numbers_of(each.body["event"]))
        assert len(paths) > 10
        for path in paths:
            forged = replace(each, body=with_changed(each.body, ("event", *path)))
            assert list(wrong_numbers(forged)) != [], path


def test_a_sentence_with_another_number_is_found(event_rows, row):
    step = event_rows[-1]
    for key in ("head", "event"):
        words = step.head["words"].replace("1", "2")
        assert words != step.head["words"]
        forged = replace(step, head={**step.head, "words": words})
        if key == "event":
            event_object = {**step.body["event"], "words": words}
            forged = replace(step, body={**step.body, "event": event_object})
        (fault,) = wrong_numbers(forged)
        assert "words" in fault or fault.startswith("head 1 is ")
    (fault,) = wrong_numbers(replace(row, head={**row.head, "words": "off by 3 st"}))
    assert fault.startswith("words is off by 3 st in the journal")


def test_events_are_made_of_codes_and_say_what_the_watch_said(watched, event_rows):
    for told, each in zip(INSTRUMENT.events(watched[1]), event_rows, strict=True):
        assert list(wrong_numbers(each)) == []
        assert (counted(each)[1], by_seal(each)) == (0, ())
        assert each.head["words"] == told.event.words
        for one, other in zip(told.event.pins, each.body["event"]["pins"], strict=True):
            assert other["by"]["stops"] == round(one.by_stops[0], 6)
            assert other["off"]["b"] == round(one.off_stops[2], 6)


def test_an_event_whose_codes_are_gone_says_no_number(watched):
    """As one of more than a card is given in a minute."""
    _, memory = watched
    row = event_row(INSTRUMENT.events(memory)[-1], None)
    assert row.head["words"] == "every pin stepped"
    nothing = {"stops": None, "r": None, "b": None}
    assert [each["by"] for each in row.body["event"]["pins"]] == [nothing] * 2
    assert (list(wrong_numbers(row)), counted(row)[1], row.blobs) == ([], 0, {})
    forged = with_changed(row.body, ("event", "start", "seconds"), 1.0)
    assert list(wrong_numbers(replace(row, body=forged))) != []


@pytest.mark.parametrize("happening", [Happening.BEAT, Happening.RETURNED, Happening.CLIP])
def test_how_far_a_beat_swings_no_codes_tell_and_no_row_says(watched, happening):
    """The curve through a minute of frames tells it, and the screen."""
    _, memory = watched
    (codes,) = [kept for _, kept in memory.following.seen][-1:]
    means = memory.following.events[-1].event.pins[0].means
    change = PinChange(1, (0.31, 0.0, 0.0), means.off_stops, means)
    told = TakeEvent(happening, 10**9, 7 * 10**9, (change,), 2, period_s=2.0)
    moment = Moment(1.0, None, None)
    row = event_row(Told(told, moment, moment, "now"), codes)
    assert list(wrong_numbers(row)) == []
    (pin,) = row.body["event"]["pins"]
    assert pin["by"]["stops"] is None
    assert "0.31" not in row.head["words"]
    if happening is Happening.BEAT:
        assert row.head["words"].startswith("pin 1 swings every 2.0 s, evenly: lamps beating")
    if happening is not Happening.CLIP:
        assert pin["off"]["stops"] == round(means.off_stops[0], 6)


def test_where_a_pin_was_moved_since_its_light_is_found_where_it_was_watched(watched):
    seen, _ = watched
    pins = (replace(seen.desk.pins[0], place=replace(seen.desk.pins[0].place, column=60)),)
    row = mark_of(replace(seen, desk=replace(seen.desk, pins=pins)))
    assert (list(wrong_numbers(row)), counted(row)[1], by_seal(row)) == ([], 0, ())
    told = row.body["answer"]["pins"][0]
    assert (told["x"], told["off"] is None) == (seen.desk.pins[0].place.column, False)
    assert told["stops"] == mark_of(seen).body["answer"]["pins"][0]["stops"]


def test_where_codes_of_a_mean_are_gone_there_is_no_number(watched):
    seen, _ = watched
    one, *more = seen.answer.pins
    left = one.frames.only(list(one.frames.samples)[:-1])
    row = mark_of(
        replace(seen, answer=replace(seen.answer, pins=(replace(one, frames=left), *more)))
    )
    told = row.body["answer"]["pins"]
    assert (told[0]["reference"], told[0]["off"]) == (None, None)
    assert told[1]["off"] is not None
    assert (list(wrong_numbers(row)), counted(row)[1]) == ([], 0)


def test_codes_that_were_taken_out_are_missed(row):
    for name in ("frames", "made_of"):
        body = {**row.body, name: []}
        assert list(wrong_numbers(replace(row, body=body))) != []
    cut_short = replace(row, blobs={**row.blobs, "codes": row.blobs["codes"][:-40]})
    (fault,) = wrong_numbers(cut_short)
    assert fault.startswith("cannot be recomputed: ")


def test_codes_that_are_altered_are_found(row):
    """Those of a pin, put back as they would be: the mean is another."""
    (frames,) = [each for each in row.body["frames"] if each["pin"] == 1]
    behind = sum(each["packed"] for each in row.body["frames"])
    times = [*frames["times"][1:], frames["times"][0]]
    body = with_times(row.body, 0, times)
    assert behind > 0
    assert list(wrong_numbers(replace(row, body=body))) != []


def with_times(body, place, times):
    frames = [dict(each) for each in body["frames"]]
    frames[place]["times"] = times
    return {**body, "frames": frames}


ANYTHING = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(2**70), 2**70),
    st.floats(),
    st.text(max_size=4),
    st.just([]),
    st.just({}),
)


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_anything_in_what_it_is_made_of_is_a_sentence_or_the_same_numbers(row, event_rows, data):
    """Never a traceback; and what is still read as it was gives the same numbers."""
    one = data.draw(st.sampled_from([row, *event_rows]))
    key = data.draw(st.sampled_from(["made_of", "frames"]))
    paths = list(all_paths(one.body[key]))
    path = data.draw(st.sampled_from(paths))
    body = with_value(one.body, (key, *path), data.draw(ANYTHING))
    for fault in wrong_numbers(replace(one, body=body)):
        assert isinstance(fault, str)


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_bytes_of_its_codes_that_are_altered_never_crash(row, event_rows, data):
    one = data.draw(st.sampled_from([row, *event_rows]))
    codes = bytearray(one.blobs["codes"])
    place = data.draw(st.integers(0, len(codes) - 1))
    codes[place] ^= data.draw(st.integers(1, 255))
    for fault in wrong_numbers(replace(one, blobs={**one.blobs, "codes": bytes(codes)})):
        assert isinstance(fault, str)


def all_paths(found, where=()):
    yield where
    items = ()
    if isinstance(found, dict):
        items = found.items()
    elif isinstance(found, list):
        items = enumerate(found)
    for key, each in items:
        yield from all_paths(each, (*where, key))


def with_value(found, path, value):
    if not path:
        return value
    key, *rest = path
    made = dict(found) if isinstance(found, dict) else list(found)
    made[key] = with_value(found[key], rest, value)
    return made


def test_a_pin_without_means_has_no_number():
    told = TakeEvent(Happening.RETURNED, 0, 10**9, (PinChange(1, (0.0,) * 3, (0.5, 0.0, 0.0)),), 1)
    moment = Moment(0.0, None, None)
    codes = SimpleNamespace(kept=None, frames={})
    made: Any = event(keep_event(Told(told, moment, moment, ""), codes).made_of, None, {})
    assert made["words"] == "pin 1 can be followed again"
    assert made["pins"][0]["off"]["stops"] is None
    assert Between((0.0,) * 3, (0.0,) * 3, (0.0,) * 3).times == frozenset()
