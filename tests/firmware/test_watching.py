import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.feeds.base import FeedState
from firmware.feeds.timecode import parse_timecode
from firmware.profiles.model import curve_alone
from firmware.watching import Timing, Watching, offsets
from firmware.written.places import parse_spot
from overlays.measure.watch.change import Change, Tolerance
from overlays.signal.published import published_curve


def test_footage_has_time_code_and_a_live_feed_the_time_of_day():
    footage = Timing(25.0, lambda: True)
    footage.begin(1_000, 0.0)
    assert footage.moment(1_000 + 2_000_000_000).timecode == "00:00:02:00"
    assert footage.moment(1_000).time is None
    own = Timing(30_000 / 1001, lambda: True, parse_timecode("00:59:59;28", 30_000 / 1001))
    own.begin(1_000, 0.0)
    assert own.moment(1_000).words == "00:59:59;28"
    assert own.moment(1_000 + round(2 * 1001 / 30_000 * 1e9)).words == "01:00:00;00"
    live = Timing(25.0, lambda: False)
    live.begin(0, 1_700_000_000.0)
    live.begin(5, 9.0)  # only the first counts
    moment = live.moment(1_500_000_000)
    assert moment.time == "2023-11-14T22:13:21.500+00:00"
    assert moment.words == "22:13:21"
    assert moment.timecode is None
    still = Timing(0.0, lambda: True)
    still.begin(0, 0.0)
    assert still.moment(0).words == "0.0 s"


def watching(scripted, frames):
    feed = scripted(frames)
    profile = curve_alone(published_curve("V-Log"))
    return Watching(
        feed, profile, [parse_spot("0.5,0.5,16")], Tolerance(), feed.clock, lambda: True
    ), feed


def test_a_step_in_a_scripted_feed(scripted, frame):
    # 40 ms a frame; a stop of V-Log is about 75 codes up there.
    answers = [frame(code=500 if n < 200 else 560, number=n) for n in range(450)]
    watch, feed = watching(scripted, answers)
    events = [event for event in watch.events() if event is not None]
    (event,) = events
    assert event.change is Change.STEP
    assert event.pins[0].by_stops[0] > 0.5
    assert watch.timing.moment(event.start_ns).seconds == pytest.approx(8.0, abs=0.1)
    assert watch.frames == 450
    assert feed.released == 450


def test_it_ends_after_so_many_frames_or_seconds(scripted, frame):
    watch, _ = watching(scripted, [frame(number=n) for n in range(100)])
    list(watch.events(frames=30))
    assert watch.frames == 30
    watch, _ = watching(scripted, [frame(number=n) for n in range(100)])
    list(watch.events(seconds=1.0))
    assert watch.seconds == pytest.approx(1.0, abs=0.05)


def test_a_silent_feed_ends_a_limited_watch(scripted, frame):
    answers = [frame(number=0), *[FeedState.NO_SIGNAL] * 60]
    watch, feed = watching(scripted, answers)
    list(watch.events(frames=50))
    assert watch.frames == 1
    assert feed.answers  # it did not wait for all of them


def test_offsets_are_unknown_while_learning(scripted, frame):
    watch, _ = watching(scripted, [frame(number=n) for n in range(10)])
    list(watch.events())
    assert np.isnan(offsets(watch.watch)).all()
    assert offsets(watch.watch).shape == (1, 3)
    assert isinstance(watch.clock, HandClock)
