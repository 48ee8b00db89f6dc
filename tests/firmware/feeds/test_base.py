"""One contract for every feed that ships."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.clock import HandClock, SystemClock
from firmware.feeds.base import Doubt, Feed, FeedInfo, FeedState, Pace, Settles
from firmware.feeds.opening import open_feed
from firmware.feeds.v4l2 import V4l2Feed
from firmware.v4l2.device import Capture
from firmware.v4l2.fake import FakeBoard
from overlays.signal.frame import Frame
from overlays.signal.signal import Matrix, Range, Signal, SignalOverride
from tests.senders import Datagrams, free_port

BENCH = "bench:size=128x72"
PACED = ("bench", "footage", "still", "raw")


class FedBoard(FakeBoard):
    """A board whose source fills every buffer at once."""

    def show_one(self):
        self.show(bytes([100]) * self.picture_size())


@pytest.fixture
def opened(tmp_path, clip, still, steps, picture) -> Callable[[str, Pace], tuple[Feed, HandClock]]:
    def open_named(kind: str, pace: Pace) -> tuple[Feed, HandClock]:
        clock = HandClock(start_ns=5_000_000_000)
        if kind == "footage":
            spec = clip("steps.mkv", "ffv1", steps(3))
        elif kind == "still":
            spec = still("grey.png", "png", picture("gray", [np.full((6, 8), 99, np.uint8)], 8))
        elif kind == "raw":
            spec = str(tmp_path / "frames.uyvy") + ":size=8x6"
            (tmp_path / "frames.uyvy").write_bytes(bytes(range(96)) * 3)
        else:
            spec = BENCH
        return open_feed(spec, clock=clock, pace=pace), clock

    return open_named


def frames(feed: Feed, limit: int) -> list[Frame]:
    out = []
    for _ in range(limit):
        got = feed.read(1.0)
        if isinstance(got, FeedState):
            break
        out.append(got)
        feed.release(got)
    return out


@pytest.mark.parametrize("pace", Pace)
@pytest.mark.parametrize("kind", PACED)
class TestEveryFeed:
    def test_is_a_feed_that_says_what_it_gives(self, opened, kind, pace):
        feed, _ = opened(kind, pace)
        assert isinstance(feed, Feed)
        info = feed.info
        frame = feed.read(1.0)
        assert isinstance(frame, Frame)
        assert (frame.columns, frame.rows) == (info.columns, info.rows)
        assert frame.signal == info.signal
        assert info.name
        assert info.description
        assert info.rate >= 0.0
        feed.close()

    def test_numbers_and_times_rise(self, opened, kind, pace):
        feed, _ = opened(kind, pace)
        got = frames(feed, 3)
        numbers = [frame.number for frame in got]
        times = [frame.time_ns for frame in got]
        assert numbers[0] == 0
        assert numbers == sorted(set(numbers))
        assert times == sorted(set(times))
        assert times[0] == 5_000_000_000
        feed.close()

    def test_reading_is_bounded(self, opened, kind, pace):
        feed, clock = opened(kind, pace)
        for _ in range(12):
            before = clock.now_ns()
            feed.read(0.01)
            assert clock.now_ns() - before <= 10_000_001
        feed.close()

    def test_a_frame_given_back_twice_and_a_feed_closed_twice_are_harmless(
        self, opened, kind, pace
    ):
        feed, _ = opened(kind, pace)
        frame = feed.read(1.0)
        feed.release(frame)
        feed.release(frame)
        feed.close()
        feed.close()
        assert feed.read(1.0) is FeedState.GONE
        feed.release(frame)

    def test_a_lent_frame_stays_as_it_is(self, opened, kind, pace):
        feed, _ = opened(kind, pace)
        first = feed.read(1.0)
        before = [plane.copy() for plane in first.planes]
        frames(feed, 4)
        feed.close()
        for plane, then in zip(first.planes, before, strict=True):
            np.testing.assert_array_equal(plane, then)

    def test_nobody_can_write_into_a_frame(self, opened, kind, pace):
        feed, _ = opened(kind, pace)
        frame = feed.read(1.0)
        assert not any(plane.flags.writeable for plane in frame.planes)
        feed.close()


OVERRIDES = st.builds(
    SignalOverride,
    st.none() | st.sampled_from(Range),
    st.none() | st.sampled_from(Matrix),
)
SIGNALS = st.builds(
    Signal,
    bits=st.sampled_from([8, 10, 12]),
    range=st.sampled_from(Range),
    matrix=st.sampled_from(Matrix),
)
OF_RANGE = Doubt("of range", Settles.RANGE)
OF_MATRIX = Doubt("of matrix", Settles.MATRIX)
OF_BOTH = Doubt("of both", Settles.RANGE | Settles.MATRIX)


@given(OVERRIDES)
def test_a_doubt_is_said_until_all_it_is_about_is_said(override):
    doubts = (OF_RANGE, OF_MATRIX, OF_BOTH)
    info = FeedInfo("x", "y", 64, 36, Signal(), 25.0, ("always",), doubts=doubts)
    expected = ["always"]
    if override.range is None:
        expected.append("of range")
    if override.matrix is None:
        expected.append("of matrix")
    if override.range is None or override.matrix is None:
        expected.append("of both")
    assert list(info.warnings_with(override)) == expected


@given(SIGNALS, OVERRIDES, OVERRIDES)
def test_what_is_said_now_counts_and_nothing_of_what_was_said_at_the_opening(own, first, now):
    info = FeedInfo("x", "y", 64, 36, first.over(own), 25.0, own=own)
    assert info.signal_with(now) == now.over(own)


@given(SIGNALS, OVERRIDES, st.sampled_from([8, 10]))
def test_a_frame_of_another_depth_keeps_it(signal, override, bits):
    info = FeedInfo("x", "y", 64, 36, signal, 25.0)
    assert info.signal_with(override) == override.over(signal)
    frames = replace(Signal(bits=bits), lossy=True)
    found = info.signal_with(override, frames)
    assert (found.bits, found.lossy) == (bits, True)
    assert found.range is (override.range or signal.range)
    assert found.matrix is (override.matrix or signal.matrix)


@pytest.mark.parametrize("pace", Pace)
@pytest.mark.parametrize("kind", PACED)
def test_only_what_is_of_now_is_live(opened, kind, pace):
    feed, _ = opened(kind, pace)
    assert feed.info.is_live is (kind == "bench" and pace is Pace.LIVE)
    feed.close()


@pytest.mark.parametrize(("kind", "count"), [("footage", 3), ("still", 1), ("raw", 3)])
def test_what_has_an_end_ends_when_stepped_through(opened, kind, count):
    feed, _ = opened(kind, Pace.STEP)
    assert len(frames(feed, 10)) == count
    assert feed.read(1.0) is FeedState.ENDED
    assert feed.read(1.0) is FeedState.ENDED
    feed.close()


@pytest.mark.parametrize("kind", PACED)
def test_stepping_never_waits(opened, kind):
    feed, clock = opened(kind, Pace.STEP)
    frames(feed, 3)
    assert clock.now_ns() == 5_000_000_000
    feed.close()


@pytest.mark.parametrize("kind", PACED)
def test_live_goes_on_for_ever_and_at_its_rate(opened, kind):
    feed, clock = opened(kind, Pace.LIVE)
    got = frames(feed, 9)
    assert [frame.number for frame in got] == list(range(9))
    rate = feed.info.rate or 5.0
    assert clock.now_ns() - 5_000_000_000 == pytest.approx(8 / rate * 1e9, abs=10)
    feed.close()


@pytest.mark.parametrize("kind", PACED)
def test_a_reader_that_comes_late_gets_the_newest_frame(opened, kind):
    feed, clock = opened(kind, Pace.LIVE)
    rate = feed.info.rate or 5.0
    frames(feed, 1)
    clock.move(4.5 / rate)
    assert feed.read(0.0).number == 4
    feed.close()


def test_the_capture_device_keeps_the_same_contract():
    board = FedBoard(HandClock(start_ns=1_000_000_000))
    feed = V4l2Feed(Capture(board.path), board.clock, None, board)
    assert isinstance(feed, Feed)
    assert feed.info.is_live
    feed.read(0.0)
    numbers = []
    for _ in range(3):
        board.show_one()
        before = board.clock.now_ns()
        frame = feed.read(0.05)
        assert board.clock.now_ns() - before <= 50_000_001
        assert isinstance(frame, Frame)
        assert (frame.columns, frame.rows) == (feed.info.columns, feed.info.rows)
        numbers.append(frame.number)
        feed.release(frame)
        feed.release(frame)
        board.clock.move(0.04)
    assert numbers == sorted(set(numbers))
    feed.close()
    feed.close()
    assert feed.read(0.05) is FeedState.GONE


def test_a_stream_from_the_network_keeps_the_same_contract():
    port, clock = free_port(), SystemClock()
    with Datagrams(port):
        feed = open_feed(f"udp://127.0.0.1:{port}", clock=clock, pace=Pace.LIVE)
        assert isinstance(feed, Feed)
        assert feed.info.is_live
        got: list[Frame] = []
        while len(got) < 5:
            before = clock.now_ns()
            frame = feed.read(0.05)
            assert clock.now_ns() - before < 1_000_000_000  # a busy machine's, and no more
            if isinstance(frame, FeedState):
                assert frame is FeedState.NO_FRAME_YET
                continue
            assert (frame.columns, frame.rows) == (feed.info.columns, feed.info.rows)
            assert frame.signal == feed.info.signal
            assert not any(plane.flags.writeable for plane in frame.planes)
            got.append(frame)
            feed.release(frame)
            feed.release(frame)
        assert [each.number for each in got] == list(range(5))
        times = [each.time_ns for each in got]
        assert times == sorted(set(times))
        kept = [plane.copy() for plane in got[0].planes]
        frames(feed, 4)
        feed.close()
        feed.close()
        assert feed.read(0.05) is FeedState.GONE
        feed.release(got[0])
    for plane, then in zip(got[0].planes, kept, strict=True):
        np.testing.assert_array_equal(plane, then)
