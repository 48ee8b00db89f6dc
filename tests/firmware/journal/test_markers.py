import sys

import pytest

from firmware.errors import JournalError
from firmware.journal.chosen import ChosenRow
from firmware.journal.markers import TIME_CODE, TIME_OF_DAY, flags_of, otio_text
from firmware.journal.row import JournalRow, RowKind
from firmware.journal.slate import Slate
from firmware.journal.times import Dated
from tests.marked import DAY_S, stamp


def row(kind: RowKind = RowKind.MARK, at_s: float = 0.0, **head: object) -> ChosenRow:
    usual = {"feed": "a.mov", "stops": -0.5, "stops_pm": 0.02, "words": "in words", **head}
    made = JournalRow(kind, stamp(at_s), usual, {}, {}, 7, b"\1")
    return ChosenRow(made, Dated(DAY_S + at_s), Slate("12", "A", "3"))


FOOTAGE = {"timecode": "01:00:10:02", "timecode_rate": 25.0, "rate": 50.0}
LIVE = {"feed": "v4l2:/dev/video0", "timecode": None, "timecode_rate": None, "rate": 50.0}


def test_footage_lies_by_its_time_code_and_a_live_feed_by_the_time_of_day():
    one, other = flags_of([row(**FOOTAGE), row(at_s=3.5, **LIVE)])
    assert (one.timecode, one.rate, one.about["placed_by"]) == ("01:00:10:02", 25.0, TIME_CODE)
    assert (other.timecode, other.day_s, other.rate) == (None, 3.5, 50.0)
    assert other.about["placed_by"] == TIME_OF_DAY
    assert one.name.startswith("#7 −0.5") or one.name.startswith("#7 -0.5")
    assert one.about["seal"] == "01"


def test_an_event_is_counted_as_the_marks_of_its_feed_are():
    event = row(RowKind.EVENT, timecode="01:00:20:00", change="drift")
    assert [each.name for each in flags_of([row(**FOOTAGE), event])][1] == "#7 drift"
    # Without a mark nobody knows how its time code is counted, and the clock is no event.
    assert flags_of([event, row(RowKind.CLOCK)]) == []


@pytest.mark.parametrize(("rate", "counted"), [(1000.0, 1000.0), (1001.0, 25.0), (0.0, 25.0)])
def test_a_rate_that_no_pictures_have_is_taken_for_the_usual_one(rate, counted):
    (one,) = flags_of([row(**{**LIVE, "rate": rate})])
    assert one.rate == counted


def test_what_has_no_place_has_no_marker():
    chosen = row(**LIVE)
    assert flags_of([ChosenRow(chosen.row, Dated(None), Slate())]) == []


def test_the_library_reads_back_every_marker_at_its_frame():
    otio = pytest.importorskip("opentimelineio")
    drop = {
        "feed": "b.mov",
        "timecode": "00:01:00;02",
        "timecode_rate": 30000 / 1001,
        "rate": 29.97,
    }
    later = {**FOOTAGE, "timecode": "01:00:12:00"}
    text = otio_text("day", [row(**FOOTAGE), row(**drop), row(**later), row(at_s=90.0, **LIVE)])
    found = otio.adapters.read_from_string(text, "otio_json")
    clips = {clip.name: clip for clip in found.find_clips()}
    assert set(clips) == {"a.mov", "b.mov", "v4l2:/dev/video0"}
    first, second = clips["a.mov"].markers
    assert first.marked_range.start_time.to_timecode() == "01:00:10:02"
    assert first.marked_range.start_time.value == 25 * (3600 + 10) + 2
    assert second.marked_range.start_time.to_timecode() == "01:00:12:00"
    assert clips["a.mov"].source_range.contains(second.marked_range.start_time)
    assert clips["a.mov"].media_reference.target_url == "a.mov"
    # SMPTE ST 12-1 drop-frame: the first number of minute 1 is 02, the 1800th frame.
    (dropped,) = clips["b.mov"].markers
    assert dropped.marked_range.start_time.value == 1800
    (live,) = clips["v4l2:/dev/video0"].markers
    assert live.marked_range.start_time.value == 90 * 50
    assert live.metadata["midgrey"]["scene"] == "12"
    assert live.comment == "in words"


def test_a_time_code_that_is_none_is_said():
    pytest.importorskip("opentimelineio")
    with pytest.raises(JournalError, match="is none at 25 frames a second"):
        otio_text("day", [row(**{**FOOTAGE, "timecode": "no"})])


def test_without_the_library_the_extra_is_named(monkeypatch):
    monkeypatch.setitem(sys.modules, "opentimelineio", None)
    with pytest.raises(JournalError, match=r"pip install '.\[otio\]'"):
        otio_text("day", [])
