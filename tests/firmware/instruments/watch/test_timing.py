import os
import time
from dataclasses import replace
from types import SimpleNamespace

import pytest

from firmware.feeds.timecode import CountedFrom, parse_timecode
from firmware.instruments.watch.timing import KEPT_CODES, Timing

DROPPING = 30_000 / 1001


@pytest.fixture
def timing(info):
    """A timing of a feed that took frames at these times."""

    def make(*times_ns, codes=(), wall_s=0.0, now_ns=None, **of_feed):
        made = Timing()
        given = SimpleNamespace(info=replace(info(), **of_feed))
        for place, time_ns in enumerate(times_ns):
            code = codes[place] if codes else ""
            frame = SimpleNamespace(time_ns=time_ns, timecode=code)
            now = time_ns if now_ns is None else now_ns
            made.take(SimpleNamespace(frame=frame, read_with=given, now_ns=now, wall_s=wall_s))
        return made

    return make


@pytest.fixture
def in_utc(monkeypatch):
    monkeypatch.setitem(os.environ, "TZ", "UTC")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


def test_footage_has_time_code_counted_from_its_first_frame(timing):
    footage = timing(1_000, rate=25.0, is_live=False)
    assert footage.moment(1_000 + 2_000_000_000).timecode == "00:00:02:00"
    assert footage.moment(1_000).time is None
    assert footage.counted_from is CountedFrom.FIRST_FRAME


def test_footage_with_a_time_code_has_its_own(timing):
    code = parse_timecode("00:59:59;28", DROPPING)
    own = timing(1_000, rate=DROPPING, timecode=code, is_live=False)
    assert own.moment(1_000).words == "00:59:59;28"
    assert own.moment(1_000 + round(2 * 1001 / 30_000 * 1e9)).words == "01:00:00;00"
    assert own.counted_from is CountedFrom.FILE


def test_a_live_feed_has_the_time_of_day(timing):
    live = timing(0, 4, wall_s=1_700_000_000.0, now_ns=0)
    moment = live.moment(1_500_000_000)
    assert moment.time == "2023-11-14T22:13:21.500+00:00"
    assert moment.words == "22:13:21"
    assert (moment.timecode, moment.seconds) == (None, 1.5)  # from the first frame
    assert live.counted_from is None


def test_a_frame_is_as_old_as_the_clock_says(timing):
    late = timing(2 * 10**9, wall_s=1_700_000_000.0, now_ns=5 * 10**9)
    assert late.now().time == "2023-11-14T22:13:17.000+00:00"


def test_a_still_has_seconds_alone(timing):
    still = timing(7, rate=0.0, is_live=False)
    assert still.now().words == "0.0 s"
    assert (still.now().timecode, still.now().time) == (None, None)
    assert still.counted_from is None


def test_how_long_it_went_on(timing):
    assert (timing().frames, timing().seconds) == (0, 0.0)
    assert timing().counted_from is None
    went_on = timing(10**9, 2 * 10**9, 4 * 10**9)
    assert (went_on.frames, went_on.seconds) == (3, 3.0)


@pytest.mark.usefixtures("in_utc")
def test_the_screen_shows_the_time_code_that_came_with_the_frame(timing):
    coded = timing(10, 20, 30, codes=("a", "b", "c"))
    assert [coded.shown(at) for at in (10, 19, 20, 31)] == ["a", "a", "b", "c"]
    bare = timing(0, wall_s=1_700_000_000.0)
    assert bare.shown(1_500_000_000) == "22:13:21"
    # Nothing came with a frame before the first: it is told by the time of day as well.
    assert coded.shown(9).count(":") == 2


def test_what_came_with_frames_long_gone_is_forgotten(timing):
    count = KEPT_CODES + 5
    coded = timing(*range(count), codes=[str(n) for n in range(count)])
    assert coded.shown(count) == str(count - 1)
    assert coded.shown(4) != "4"
