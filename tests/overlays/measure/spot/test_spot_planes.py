"""Noise of small spots is judged from around them; noise cut off at the lowest code is noticed."""

import numpy as np
import pytest

from overlays.measure.spot.spot_planes import FEWEST_ACROSS, is_cut_off, plane_errors
from overlays.signal.frame import Frame
from overlays.signal.signal import Components, Range, Signal, Subsampling

ROWS, COLUMNS = 32, 48


def frame_of(luma: np.ndarray, signal: Signal) -> Frame:
    sub = signal.subsampling
    small = (-(-ROWS // sub.rows), -(-COLUMNS // sub.columns))
    grey = np.full(small, 1 << (signal.bits - 1), luma.dtype)
    return Frame((luma, grey, grey.copy()), signal)


def noisy(level: float, sigma: float, lowest: int, seed: int = 7) -> np.ndarray:
    drawn = np.random.default_rng(seed).normal(level, sigma, (ROWS, COLUMNS))
    return np.maximum(np.rint(drawn), lowest).astype(np.uint16)


@pytest.mark.parametrize("place", [(0, 0), (10, 21), (ROWS - 1, COLUMNS - 1)])
def test_a_spot_of_one_sample_takes_its_noise_from_around_it(place):
    row, column = place
    frame = frame_of(noisy(400, 9.0, 4), Signal(bits=10))
    luma = plane_errors(frame, (row, row + 1), (column, column + 1))[0]
    # 16 samples: within a factor of two and a half of what was drawn
    assert 9.0 / 2.5 < luma.noise < 9.0 * 2.5
    assert luma.standard == pytest.approx(luma.noise)


def test_a_larger_spot_looks_at_nothing_but_itself():
    luma = noisy(400, 3.0, 4)
    edge = FEWEST_ACROSS + 2
    inside = (slice(8, 8 + edge), slice(8, 8 + edge))
    alone = luma.copy()
    alone[:8] = alone[8 + edge :] = 4  # whatever lies around it
    spans = (8, 8 + edge), (8, 8 + edge)
    expected = plane_errors(frame_of(luma, Signal(bits=10)), *spans)[0]
    assert plane_errors(frame_of(alone, Signal(bits=10)), *spans)[0] == expected
    assert luma[inside].std() > 0


# ITU-R BT.709-6 item 4: of limited range 0 and 1019 upwards of 10 bits are not video; the lowest
# that is, is 4 of 10 and 1 of 8.
@pytest.mark.parametrize(
    ("signal", "lowest"),
    [
        (Signal(bits=10, range=Range.FULL), 0),
        (Signal(bits=8, range=Range.FULL), 0),
        (Signal(bits=10), 4),
        (Signal(bits=8), 1),
    ],
)
@pytest.mark.parametrize(("above", "cut"), [(0.0, True), (2.0, True), (40.0, False)])
def test_noise_that_reaches_the_lowest_code_is_cut_off(signal, lowest, above, cut):
    frame = frame_of(noisy(lowest + above, 3.0, lowest), signal)
    spans = (4, 28), (4, 44)
    assert is_cut_off(frame, *spans, plane_errors(frame, *spans)) is cut


def test_a_few_dark_specks_cut_nothing_off():
    luma = noisy(200, 2.0, 0)
    luma[5:6, 4:12] = 0  # under 2 %
    frame = frame_of(luma, Signal(bits=10, range=Range.FULL))
    spans = (4, 28), (4, 44)
    assert not is_cut_off(frame, *spans, plane_errors(frame, *spans))


def test_of_rgb_all_three_must_be_cut_off():
    signal = Signal(
        bits=10, range=Range.FULL, components=Components.RGB, subsampling=Subsampling.S444
    )
    dark, light = noisy(1, 3.0, 0), noisy(300, 3.0, 0)
    spans = (4, 28), (4, 44)
    for planes, cut in (((dark, dark, dark), True), ((dark, dark, light), False)):
        frame = Frame(planes, signal)
        assert is_cut_off(frame, *spans, plane_errors(frame, *spans)) is cut
