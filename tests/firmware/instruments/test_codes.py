import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firmware.errors import JournalError
from firmware.instruments.codes import boxes_of, cut, put_back
from overlays.errors import OverlayError
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.frame import Frame
from overlays.signal.published import published_curve
from overlays.signal.signal import Components, Range, Signal, Subsampling

SIGNALS = [
    Signal(bits, range_, subsampling=sub, lossy=lossy)
    for bits, range_, sub, lossy in itertools.product(
        (8, 10), (Range.LIMITED, Range.FULL), list(Subsampling), (False, True)
    )
]
SIGNALS.append(Signal(12, Range.FULL, components=Components.RGB, subsampling=Subsampling.S444))


def made(signal: Signal, rows: int, columns: int, seed: int, shift: int = 0) -> Frame:
    """Flat fields with noise, an edge through them, and codes in steps where bits are many."""
    random = np.random.default_rng(seed)
    top = (1 << signal.bits) - 1
    sub = signal.subsampling
    shapes = [(rows, columns), *[(-(-rows // sub.rows), -(-columns // sub.columns))] * 2]
    planes = []
    for middle, shape in zip((0.4, 0.5, 0.52), shapes, strict=True):
        level = np.full(shape, middle * top)
        level[:, shape[1] // 2 :] += 0.1 * top
        noisy = level + random.normal(0.0, top / 300.0, shape)
        codes = np.clip(np.round(noisy), 0, top).astype(np.int64) // 2 * (1 + seed % 2)
        kind = np.uint8 if signal.bits == 8 else np.uint16
        planes.append((codes << shift).astype(kind))
    return Frame((planes[0], planes[1], planes[2]), signal, shift, number=3, time_ns=5)


def read(frame: Frame, place: SpotPlace) -> object:
    """All that a reading says, as text: arrays among it are not compared by ==."""
    yard = yardstick(frame.signal, published_curve("BT.709"), shift=frame.shift)
    return repr(read_spot(frame, yard, place))


@pytest.mark.parametrize("signal", SIGNALS, ids=str)
def test_a_place_reads_the_same_from_its_codes_as_in_the_whole_frame(signal):
    frame = made(signal, 270, 481, seed=signal.bits)
    places = [SpotPlace(241, 136, 48), SpotPlace(30, 20, 16), SpotPlace(475, 262, 7, 9)]
    again = put_back(cut(frame, places), signal, 0, 3, 5)
    for place in places:
        assert read(again, place) == read(frame, place)
    assert (again.rows, again.columns, again.number, again.time_ns) == (270, 481, 3, 5)
    # Of the rest there are the few samples that the step of the codes is judged by.
    assert 0 < np.count_nonzero(again.planes[0][120:160, :60]) < 120


@settings(max_examples=40, deadline=None)
@given(st.data())
def test_so_does_any_place_of_any_picture(data):
    rows, columns = data.draw(st.integers(8, 200)), data.draw(st.integers(8, 300))
    size = data.draw(st.integers(2, min(rows, columns, 140)))
    place = SpotPlace(
        data.draw(st.integers(size // 2, columns - size + size // 2)),
        data.draw(st.integers(size // 2, rows - size + size // 2)),
        size,
    )
    signal, shift = data.draw(st.sampled_from(SIGNALS)), 0
    if signal.bits == 10:
        shift = data.draw(st.sampled_from([0, 6]))
    frame = made(signal, rows, columns, data.draw(st.integers(0, 99)), shift)
    assert read(put_back(cut(frame, [place]), signal, shift, 3, 5), place) == read(frame, place)


def test_a_place_beside_the_picture_is_no_fault_of_cutting():
    frame = made(Signal(), 64, 64, 1)
    place = SpotPlace(200, 10, 8)
    again = put_back(cut(frame, [place]), frame.signal)
    with pytest.raises(OverlayError):
        read(again, place)


@given(st.binary(max_size=200))
@settings(max_examples=60, deadline=None)
def test_damaged_codes_are_refused_with_a_sentence(garbage):
    frame = made(Signal(), 32, 48, 1)
    codes = cut(frame, [SpotPlace(16, 16, 8)])
    for packed in (garbage, codes.packed[: len(garbage)], codes.packed + garbage[1:]):
        try:
            put_back(type(codes)(32, 48, 1, codes.boxes, packed), Signal())
        except JournalError as fault:
            assert "codes" in str(fault)  # noqa: PT017 - some garbage may follow harmlessly


@pytest.mark.parametrize(
    "found", [None, 3, [[1, 2, 3]], [[1, 2, 3, -4]], [[0, 0, 10**9, 2]], [["x"]]]
)
def test_places_that_are_none_are_refused(found):
    with pytest.raises(JournalError, match="places"):
        boxes_of(found)


def test_boxes_beyond_the_picture_are_refused():
    frame = made(Signal(), 32, 48, 1)
    codes = cut(frame, [SpotPlace(16, 16, 8)])
    with pytest.raises(JournalError, match="do not fit"):
        put_back(type(codes)(32, 48, 1, ((0, 0, 99, 99),), codes.packed), Signal())
