"""Times of footage against the time stamps that were written into it."""

import threading
from itertools import count
from types import SimpleNamespace

import av
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firmware.feeds.reel import MOST_EMPTY, Reel, announced_s, rate_of
from tests.clips import edited, flat, noisy, timed, write


def all_of(path):
    reel, out = Reel(str(path)), []
    while (picture := reel.next()) is not None:
        out.append(picture)
    return reel, out


def uneven(count, seed=3):
    """Milliseconds of pictures 20 to 100 ms apart."""
    steps = np.random.default_rng(seed).choice([20, 33, 40, 60, 100], count - 1)
    return [0, *np.cumsum(steps).tolist()]


@pytest.mark.parametrize(
    ("name", "codec"), [("x.mkv", "ffv1"), ("x.mp4", "libx264"), ("x.mov", "mpeg4")]
)
def test_pictures_come_at_the_times_that_were_written(tmp_path, name, codec):
    times = uneven(40)
    path = timed(tmp_path / name, ((at, flat(20 + n)) for n, at in enumerate(times)), codec)
    reel, pictures = all_of(path)
    assert [round(each.at_ns / 1e6) for each in pictures] == times
    assert reel.is_uneven
    assert reel.missing_s is None
    reel.close()


@given(st.lists(st.integers(1, 3000), min_size=1, max_size=12))
@settings(max_examples=20)
def test_any_times_that_rise_are_kept(tmp_path_factory, steps):
    times = [0, *np.cumsum(steps).tolist()]
    path = tmp_path_factory.mktemp("reel") / "x.mkv"
    reel, pictures = all_of(timed(path, ((at, flat(40)) for at in times)))
    assert [round(each.at_ns / 1e6) for each in pictures] == times
    assert reel.missing_s is None
    reel.close()


def test_an_even_file_is_even_though_its_stamps_are_whole_milliseconds(tmp_path):
    times = [round(number * 1000 / 30) for number in range(40)]
    path = timed(tmp_path / "x.mkv", ((at, flat(40)) for at in times), rate=30)
    reel, _ = all_of(path)
    assert not reel.is_uneven
    reel.close()


@pytest.mark.parametrize(
    ("left_out", "uneven"), [((), False), ((9, 20), False), ((9, 20, 31), True)]
)
def test_a_frame_or_two_left_out_make_no_rate_that_varies(tmp_path, left_out, uneven):
    times = [40 * number for number in range(40) if number not in left_out]
    reel, _ = all_of(timed(tmp_path / "x.mkv", ((at, flat(40)) for at in times), rate=25))
    assert reel.is_uneven is uneven
    reel.close()


def test_a_file_that_begins_late_begins_at_its_first_picture(tmp_path):
    frames = [(1200 + 40 * number, flat(20 + number)) for number in range(5)]
    reel, pictures = all_of(timed(tmp_path / "x.mp4", frames, "libx264"))
    assert [each.at_ns for each in pictures] == [40_000_000 * number for number in range(5)]
    assert reel.missing_s is None
    reel.close()


def test_what_an_edit_list_leaves_out_is_not_missing(tmp_path):
    reel, pictures = all_of(edited(tmp_path / "x.mp4", 60, 10))
    assert reel.stream.frames == 60  # what the file counts
    assert [each.decoded.planes[0].buffer_size > 0 for each in pictures] == [True] * 50
    first = np.frombuffer(memoryview(pictures[0].decoded.planes[0]), np.uint8)[0]
    assert abs(int(first) - 30) <= 1  # the eleventh
    assert [each.at_ns for each in pictures] == [40_000_000 * number for number in range(50)]
    assert reel.missing_s is None
    reel.close()


def test_a_file_that_ends_too_early_says_by_how_much(tmp_path):
    whole = write(tmp_path / "x.mp4", noisy(50), "mpeg4")
    data = (tmp_path / "x.mp4").read_bytes()
    (tmp_path / "x.mp4").write_bytes(data[: len(data) // 2])
    reel, pictures = all_of(whole)
    there, announced = reel.missing_s
    assert there == pytest.approx(len(pictures) / 25)
    assert announced == pytest.approx(2.0)
    reel.close()


class Decoded:
    """A decoded picture with a time stamp of its own, as a damaged file may have it."""

    time_base = None
    duration = 0

    def __init__(self, pts):
        self.pts = pts


def test_stamps_that_are_missing_or_jump_back_are_counted_on(tmp_path):
    reel = Reel(timed(tmp_path / "x.mkv", [(0, flat(40)), (40, flat(40))]))
    stamps = (1000, 1040, None, 500, 540)  # in milliseconds
    reel._pictures = (Decoded(pts) for pts in stamps)  # type: ignore[misc]
    pictures = [reel.next() for _ in range(5)]
    assert [each.at_ns // 1_000_000 for each in pictures] == [0, 40, 80, 120, 160]
    assert reel.jumped_ns == 120_000_000


class Stream:
    average_rate = guessed_rate = base_rate = None
    duration = time_base = None


def test_what_a_file_does_not_say_is_not_made_up():
    assert rate_of(Stream()) == 25.0

    class Container:
        duration = 3 * av.time_base

        def __init__(self, streams):
            self.streams = [Stream()] * streams

    assert announced_s(Container(2), Stream()) is None  # it may be the length of its sound
    assert announced_s(Container(1), Stream()) == 3.0


def test_packets_without_an_end_are_not_waited_for(tmp_path, monkeypatch):
    path = write(tmp_path / "a.mp4", noisy(3))
    reel = Reel(path)
    assert reel.next() is not None

    class Empty:
        def decode(self):
            return []

    taken = []

    def packets(_):
        for number in count():
            taken.append(number)
            yield Empty()

    monkeypatch.setattr(reel, "container", SimpleNamespace(demux=packets))
    assert list(reel._decode()) == []
    assert len(taken) == MOST_EMPTY
    assert reel.is_damaged


def test_what_a_stuck_thread_still_decodes_is_not_closed_under_it(tmp_path):
    # The fault that is told is then the thread's, and no "generator already executing".
    reel = Reel(str(timed(tmp_path / "x.mkv", [(0, flat(20))], "ffv1")))
    entered, leave = threading.Event(), threading.Event()

    def stuck():
        entered.set()
        leave.wait(30.0)
        yield from ()

    reel._pictures = stuck()
    thread = threading.Thread(target=lambda: next(reel._pictures, None))
    thread.start()
    assert entered.wait(5.0)
    reel.close()
    assert reel.container.streams
    leave.set()
    thread.join(5.0)
    reel.close()
    assert not hasattr(reel, "container")


def test_a_file_is_whole_until_something_else_shows(tmp_path):
    reel = Reel(timed(tmp_path / "x.mkv", [(0, flat(40)), (40, flat(40))]))
    assert reel.is_damaged is False
    assert all(reel.next() is not None for _ in range(2))
    assert reel.is_damaged is False
