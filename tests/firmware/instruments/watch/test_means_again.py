from firmware.instruments.pin_frames import PinFrames
from firmware.instruments.watch.means_again import MOST_OF_MEAN, between, means_of, only
from overlays.measure.spot.spot import SpotPlace
from overlays.measure.watch.change import Between, MadeOf
from overlays.signal.signal import Signal

ZERO = (0.0, 0.0, 0.0)
FRAMES = PinFrames(SpotPlace(8, 8, 8), (90, 160), Signal(), 0, 1, dict.fromkeys(range(9), b""))


def test_of_many_frames_so_many_are_kept_from_the_first_to_the_last():
    of = MadeOf.of_all(tuple(range(0, 1000, 10)))
    made = means_of(Between(ZERO, ZERO, ZERO, of, of, of))
    kept = made.after.level
    assert (len(kept), kept[0], kept[-1]) == (MOST_OF_MEAN, 0, 990)
    assert sorted(set(kept)) == list(kept)
    assert set(kept) <= set(of.level)


def test_a_few_frames_stay_as_they_are_and_as_often():
    of = MadeOf((1, 1, 2), (3,), (4, 5))
    assert means_of(Between(ZERO, ZERO, ZERO, of, None, of)).after == of
    assert means_of(None) is None


def test_only_what_means_are_made_of_is_kept():
    made = means_of(Between(ZERO, ZERO, ZERO, MadeOf((1,), (2,), (1,)), None, MadeOf.of_all((7,))))
    assert list(only({1: FRAMES, 2: FRAMES}, {1: made, 2: None})[1].samples) == [1, 2, 7]
    assert list(only({2: FRAMES}, {2: None})[2].samples) == []


def test_without_codes_or_without_means_nothing_is_known():
    assert between(None, FRAMES, None) is None
    assert between(means_of(Between(ZERO, ZERO, ZERO)), None, None) is None
