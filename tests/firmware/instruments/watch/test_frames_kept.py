from dataclasses import replace
from types import SimpleNamespace

from firmware.instruments.watch.frames_kept import FramesKept
from overlays.measure.spot.spot import SpotPlace
from overlays.measure.watch.change import Between, Change, MadeOf
from overlays.measure.watch.events import PinChange, TakeEvent

PLACE = SpotPlace(20, 20, 8)
ZERO = (0.0, 0.0, 0.0)
SPOTS = {1: SimpleNamespace(place=PLACE)}


def needing(*times):
    return SimpleNamespace(made_of=lambda _pin: frozenset(times))


def means(*times):
    return Between(ZERO, ZERO, ZERO, None, None, MadeOf.of_all(times))


def times(kept, *wanted):
    return list(kept.of(1, means(*wanted)).samples)


def test_the_newest_are_kept_and_of_older_ones_what_is_needed(frame):
    one = frame(500)
    size = len(FramesKept()._like_of(1, one, PLACE).cut(one))
    kept = FramesKept(4 * size)
    for number in range(10):
        kept.take(replace(one, time_ns=number), SPOTS, needing(2))
    assert times(kept, *range(10)) == [2, 7, 8, 9]


def test_frames_of_another_signal_begin_anew(frame):
    one, kept = frame(500), FramesKept()
    kept.take(replace(one, time_ns=1), SPOTS, needing())
    kept.take(replace(one, time_ns=2, shift=6), SPOTS, needing())
    assert times(kept, 1, 2) == [2]


def test_of_a_pin_that_was_never_seen_nothing_is_kept(frame):
    kept = FramesKept()
    assert kept.of(1, means(1)) is None
    kept.take(replace(frame(500), time_ns=1), SPOTS, needing())
    assert kept.of(1, None) is None
    step = TakeEvent(
        Change.STEP, 0, 1, tuple(PinChange(n, ZERO, ZERO, means(1)) for n in (1, 2)), 2
    )
    assert list(kept.of_event(step)) == [1]
