"""A pin alone reads as it does in the whole picture, whatever the signal and wherever it lies."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firmware.errors import JournalError
from firmware.instruments.pin_frames import PinFrames
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.measure.watch.watch import values_of
from overlays.signal.frame import Frame
from overlays.signal.published import published_curve
from overlays.signal.signal import Components, Signal, Subsampling

SIGNALS = [
    Signal(8, subsampling=Subsampling.S420),
    Signal(10, subsampling=Subsampling.S422),
    Signal(10, subsampling=Subsampling.S444),
    Signal(8, components=Components.RGB, subsampling=Subsampling.S444),
]


def picture(signal, seed, rows=45, columns=61, shift=0):
    rng = np.random.default_rng(seed)
    kind, sub = (np.uint8 if signal.bits == 8 else np.uint16), signal.subsampling
    small = (-(-rows // sub.rows), -(-columns // sub.columns))
    shapes, top = ((rows, columns), small, small), 1 << signal.bits
    planes = [(rng.integers(0, top, shape) << shift).astype(kind) for shape in shapes]
    return Frame((planes[0], planes[1], planes[2]), signal, shift, time_ns=7)


def spots():
    return st.builds(
        SpotPlace, st.integers(6, 54), st.integers(6, 38), st.integers(2, 12), st.integers(2, 12)
    )


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(SIGNALS), spots(), st.integers(0, 2**32))
def test_it_reads_to_the_last_bit_as_in_the_picture(signal, place, seed):
    frame = picture(signal, seed)
    yard = yardstick(signal, published_curve("V-Log"))
    like = PinFrames.like(frame, place)
    kept = replace(like, samples={7: like.cut(frame)})
    again = like.unpacked([7], kept.packed())
    assert again.reading(7, yard) == values_of(read_spot(frame, yard, place))
    assert again.reading(8, yard) is None


def test_codes_in_the_upper_end_of_sixteen_bits():
    frame = picture(SIGNALS[1], 3, shift=6)
    yard = yardstick(frame.signal, published_curve("V-Log"), shift=6)
    place = SpotPlace(31, 21, 10)
    like = PinFrames.like(frame, place)
    found = replace(like, samples={7: like.cut(frame)}).reading(7, yard)
    assert found == values_of(read_spot(frame, yard, place))


@pytest.fixture
def kept():
    frame = picture(SIGNALS[1], 1)
    like = PinFrames.like(frame, SpotPlace(20, 20, 8))
    return replace(like, samples={3: like.cut(frame), 9: like.cut(frame)})


def test_some_of_them_in_order_of_time(kept):
    assert list(kept.only([9, 3, 4, 9]).samples) == [3, 9]


@pytest.mark.parametrize("times", [[3], [3, 9, 10], [3, 3]])
def test_more_frames_or_fewer_than_there_are_codes_are_refused(kept, times):
    with pytest.raises(JournalError, match="stored frames of a pin"):
        kept.unpacked(times, kept.packed())


@pytest.mark.parametrize(
    "changed",
    [
        {"place": SpotPlace(2, 20, 8)},
        {"place": SpotPlace(20, 44, 8)},
        {"place": SpotPlace(20, 20, 0)},
        {"sample_bytes": 3},
        {"size": (45, 10**9)},
        {"size": (10, 61)},
    ],
)
def test_a_pin_that_lies_in_no_picture_is_refused(kept, changed):
    with pytest.raises(JournalError, match="stored frames of a pin"):
        replace(kept, **changed).unpacked([3, 9], kept.packed())


@given(st.binary(max_size=60))
def test_anything_else_is_refused(packed):
    like = PinFrames.like(picture(SIGNALS[0], 1), SpotPlace(20, 20, 8))
    with pytest.raises(JournalError):
        like.unpacked([1], packed)


def test_samples_that_are_cut_short_are_refused(kept):
    short = replace(kept, samples={3: kept.samples[3][:-1]})
    with pytest.raises(JournalError, match="do not fit"):
        short.reading(3, yardstick(kept.signal, published_curve("V-Log")))
