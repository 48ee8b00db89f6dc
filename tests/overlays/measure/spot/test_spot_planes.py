"""Noise of small spots is judged from around them; noise cut off at the lowest code is noticed."""

import numpy as np
import pytest

from overlays.measure.spot.spot_planes import cut_off_at, errors_under
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
    luma = errors_under(frame, (row, row + 1), (column, column + 1)).planes[0]
    # 16 samples: within a factor of two and a half of what was drawn
    assert 9.0 / 2.5 < luma.noise < 9.0 * 2.5
    assert luma.standard == pytest.approx(luma.noise)


@pytest.mark.parametrize("other", [4, 380, 430, 900])
def test_surroundings_that_are_unlike_have_no_say(other):
    luma = noisy(400, 3.0, 4)
    spans = (8, 24), (8, 24)
    alone = np.full_like(luma, other)
    alone[8:24, 8:24] = luma[8:24, 8:24]
    error = errors_under(frame_of(alone, Signal(bits=10)), *spans).planes[0]
    assert error.noise == pytest.approx(3.0, rel=0.2)
    assert 0.5 < error.standard / (3.0 / 16) < 2.0


def test_flat_surroundings_make_the_noise_of_a_small_spot_better_known():
    luma = noisy(400, 3.0, 4)
    spans = (12, 20), (20, 28)
    hemmed = np.full_like(luma, 900)
    hemmed[12:20, 20:28] = luma[12:20, 20:28]
    alone, free = (
        errors_under(frame_of(each, Signal(bits=10)), *spans).planes[0] for each in (hemmed, luma)
    )
    assert free.degrees > 1.5 * alone.degrees


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
def test_noise_that_reaches_the_lowest_code_cut_off_at(signal, lowest, above, cut):
    frame = frame_of(noisy(lowest + above, 3.0, lowest), signal)
    spans = (4, 28), (4, 44)
    assert bool(cut_off_at(frame, *spans, errors_under(frame, *spans).planes)) is cut


def test_a_few_dark_specks_cut_nothing_off():
    luma = noisy(200, 2.0, 0)
    luma[5:6, 4:12] = 0  # under 2 %
    frame = frame_of(luma, Signal(bits=10, range=Range.FULL))
    spans = (4, 28), (4, 44)
    assert not cut_off_at(frame, *spans, errors_under(frame, *spans).planes)


def test_of_rgb_all_three_must_be_cut_off():
    signal = Signal(
        bits=10, range=Range.FULL, components=Components.RGB, subsampling=Subsampling.S444
    )
    dark, light = noisy(1, 3.0, 0), noisy(300, 3.0, 0)
    spans = (4, 28), (4, 44)
    for planes, cut in (((dark, dark, dark), True), ((dark, dark, light), False)):
        frame = Frame(planes, signal)
        assert bool(cut_off_at(frame, *spans, errors_under(frame, *spans).planes)) is cut


@pytest.mark.parametrize(("bits", "black"), [(10, 64), (8, 16)])
@pytest.mark.parametrize(("above", "cut"), [(0.0, True), (3.0, True), (40.0, False)])
def test_noise_that_is_cut_at_black_is_noticed(bits, black, above, cut):
    frame = frame_of(noisy(black + above, 3.0, black), Signal(bits=bits))
    spans = (4, 28), (4, 44)
    errors = errors_under(frame, *spans).planes
    assert bool(cut_off_at(frame, *spans, errors)) is cut
    if cut:
        assert "black" in cut_off_at(frame, *spans, errors)


def test_noise_that_goes_below_black_is_whole():
    frame = frame_of(noisy(66, 3.0, 4), Signal(bits=10))
    spans = (4, 28), (4, 44)
    assert not cut_off_at(frame, *spans, errors_under(frame, *spans).planes)


@pytest.mark.parametrize(("edge", "is_wider"), [(16, True), (32, False)])
def test_what_a_codec_left_beside_is_asked_of_small_spots_alone(edge, is_wider):
    luma = np.full((128, 128), 400, np.uint16)
    grey = np.full((128, 128), 512, np.uint16)
    dotted = luma.copy()
    dotted[8:16, 8:16:2] += 6
    signal = Signal(10, Range.LIMITED, subsampling=Subsampling.S444, lossy=True)
    at = 64 - edge // 2, 64 + edge // 2
    still, left = (
        errors_under(Frame((each, grey, grey), signal), at, at).planes[0].rounding
        for each in (luma, dotted)
    )
    assert (left > 1.5 * still) == is_wider
    assert left == still or is_wider
