import json
from dataclasses import replace

import pytest

from firmware.instruments.registry import REGISTRY
from firmware.instruments.watch.answer import Told
from firmware.instruments.watch.timing import Moment
from firmware.journal.composing import mark_of
from firmware.journal.row import RowKind, canonical
from firmware.journal.seen_events import SeenEvent, event_of
from firmware.journal.slate import Slate
from overlays.measure.counting.census import Wants, take_census
from overlays.measure.watch.change import Happening
from overlays.measure.watch.events import TakeEvent
from tests.marked import SMALL, in_view, mark, stamp
from tests.running import midgrey

VIEWS = [view.name for view in REGISTRY.views()]


@pytest.mark.parametrize("view", VIEWS)
def test_a_mark_of_every_view_is_an_object_of_json_without_what_is_no_number(view):
    row = mark(view=view)
    text = canonical({"head": row.head, "body": row.body})
    assert json.loads(text) == {"head": row.head, "body": row.body}
    assert row.head["view"] == view
    assert set(row.blobs) == {"codes", "still", "trace", "chroma"}
    assert row.body["profile"]["text"]


def test_the_readings_are_those_that_the_command_gives_of_the_frame():
    row = mark()
    told = json.loads(midgrey("read", SMALL, "--at", "0.5,0.5", "--json").stdout)
    for spot in (told["spots"][0], row.body["read"]["spots"][0]):
        spot.pop("truth", None)
    assert row.body["read"]["spots"][0] == told["spots"][0]
    assert row.body["read"]["feed"] == told["feed"]
    assert row.body["read"]["frame"] == told["frame"]
    assert row.head["stops"] == told["spots"][0]["stops"]
    assert (row.head["feed"], row.head["simulated"]) == (SMALL, True)
    # The spot, then each pin.
    assert [each["x"] for each in row.body["read"]["spots"]] == [320, 320, 224, 390]


def test_what_a_view_answers_is_kept_as_its_command_gives_it():
    seen = in_view(SMALL, "advice")
    row = mark_of(seen)
    assert row.body["answer"]["target"]
    assert row.body["answer_from_codes"]
    assert not mark(view="watch").body["answer_from_codes"]
    # An answer that has no object yet is none.
    assert mark(view="match").body["answer"] is None
    assert mark(view="pins").body["answer_from_codes"]


def test_a_view_without_a_command_is_kept_too():
    """The giant reading has none: what it judged is what a borrower marks."""
    answer = mark(view="target").body["answer"]
    assert answer["side"] in {"in", "over", "under"}
    assert answer["times_out"] >= 0


def test_health_and_slate_stand_in_it():
    row = mark_of(in_view(SMALL, slate=Slate("3", notes="rain")), lambda: {"temperature_c": 51.0})
    assert row.body["health"] == {"temperature_c": 51.0}
    assert row.head["slate"] == {
        "scene": "3",
        "shot": "",
        "take": "",
        "camera": "",
        "notes": "rain",
    }


def test_a_spot_that_lies_outside_is_no_reading_and_no_fault():
    seen = in_view(SMALL)
    far = replace(seen.place, column=10_000)
    with pytest.raises(Exception, match="outside"):
        mark_of(replace(seen, place=far))


def test_an_event_is_kept_as_the_watch_gives_it():
    line = REGISTRY.of_command("watch")
    moment = Moment(1.5, None, "2026-11-27T00:00:00.000+00:00")
    told = Told(TakeEvent(Happening.GAP, 10**9, 10**9, (), 1), moment, moment, "now")
    row = event_of(SeenEvent(told, line, SMALL, stamp()), Slate("3"))
    assert row.kind is RowKind.EVENT
    assert row.body["event"]["change"] == "gap"
    assert row.head["words"] == row.body["event"]["words"]


@pytest.mark.parametrize("view", ["expose", "advice", "balance"])
@pytest.mark.parametrize("feed", [SMALL, f"{SMALL},curve=V-Log,signal=yuv422-10,exposure=2"])
@pytest.mark.parametrize(
    "there",
    [
        Wants.LEVELS,
        Wants.LEVELS | Wants.CLIPPING,
        Wants.LEVELS | Wants.CHROMA | Wants.RGB,
        Wants.LEVELS | Wants.CLIPPING | Wants.CHROMA | Wants.RGB,
    ],
)
def test_counts_that_were_taken_already_make_the_same_mark(feed, view, there):
    seen = in_view(feed, view)
    census = take_census(seen.frame, seen.yard, there)
    given = mark_of(replace(seen, census=census.copy()))
    counted = mark_of(seen)
    assert given.body == counted.body
    assert given.head == counted.head
    assert given.blobs == counted.blobs
