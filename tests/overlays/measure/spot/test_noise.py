"""The variance of a mean of correlated noise against the sum of its autocovariance."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.spot.noise import LOOK, mean_noise, spot_noise, window_of
from overlays.measure.spot.spot_planes import errors_under
from overlays.measure.spot.uncertainty import combine
from overlays.signal.frame import Frame
from overlays.signal.signal import Signal, Subsampling


def blurred(shape, blur, rng):
    """Noise of unit variance whose autocovariance is exp(-d^2 / 4 blur^2), periodic."""
    noise = rng.normal(size=shape)
    if blur == 0.0:
        return noise
    for axis in (0, 1):
        f = np.fft.fftfreq(shape[axis])
        gain = np.exp(-2.0 * (np.pi * blur * f) ** 2)
        gain *= np.sqrt(f.size / (gain**2).sum())
        noise = np.fft.ifft(
            np.fft.fft(noise, axis=axis) * np.expand_dims(gain, 1 - axis), axis=axis
        )
        noise = noise.real
    return noise


def true_deviation(edge, blur):
    """Standard deviation of the mean over edge x edge: the sum of the autocovariance, by hand."""
    lags = np.arange(-edge + 1, edge)
    cov = np.exp(-(lags**2) / (4.0 * blur**2)) if blur else (lags == 0).astype(float)
    return float(((edge - np.abs(lags)) / edge**2 * cov).sum())


def framed(luma, bits=10, lossy=False):
    codes = np.rint(luma).astype(np.uint16)
    grey = np.full((codes.shape[0], codes.shape[1] // 2), 1 << (bits - 1), np.uint16)
    return Frame((codes, grey, grey), Signal(bits, subsampling=Subsampling.S422, lossy=lossy))


@pytest.mark.parametrize("edge", [16, 48, 120])
@pytest.mark.parametrize("blur", [0.0, 0.5, 1.0, 2.0])
def test_standard_error_is_that_of_correlated_noise(edge, blur):
    rng = np.random.default_rng([edge, int(10 * blur)])
    found = []
    for _ in range(12):
        frame = framed(400.0 + 4.8 * blurred((192, 192), blur, rng))
        first = 96 - edge // 2
        span = (first, first + edge)
        found.append(spot_noise(frame, span, span).standard[0])
    true = 4.8 * true_deviation(edge, blur)
    assert 0.85 * true <= np.sqrt(np.mean(np.square(found))) <= 1.4 * true


@pytest.mark.parametrize("sigma", [0.4, 1.2, 4.8])
@pytest.mark.parametrize("blur", [1.0, 2.0])
def test_half_width_covers_the_truth_under_correlated_noise(sigma, blur):
    # issue: coverage 0.13 to 0.38 of 48 x 48 spots, noise of 4.8 codes over a gaussian of a pixel
    rng = np.random.default_rng([int(10 * sigma), int(blur)])
    only, inside, widths, misses = np.array([1.0, 0.0, 0.0]), [], [], []
    for _ in range(150):
        level = 400.0 + rng.uniform()
        frame = framed(level + sigma * blurred((96, 96), blur, rng))
        span = (24, 72)
        half = combine(only, only, errors_under(frame, span, span).planes)
        misses.append(abs(float(frame.planes[0][24:72, 24:72].mean()) - level))
        widths.append(half)
        inside.append(misses[-1] <= half)
    assert np.mean(inside) >= 0.95
    assert np.median(widths) <= 2.0 * np.quantile(misses, 0.95)


@pytest.mark.parametrize("slope", [(0.5, 0.0), (0.0, -1.0), (0.7, 0.4)])
def test_a_gradient_is_no_noise(slope):
    rng = np.random.default_rng(4)
    rows, columns = np.mgrid[0:128, 0:128]
    flat = 400.0 + rng.normal(0.0, 2.0, (128, 128))
    span = (40, 88)
    alone = spot_noise(framed(flat), span, span).standard[0]
    leaning = flat + slope[0] * rows + slope[1] * columns
    assert spot_noise(framed(leaning), span, span).standard[0] < 1.5 * alone


def test_what_lies_around_is_taken_as_far_as_it_is_flat():
    luma = np.full((200, 200), 400.0) + np.random.default_rng(1).normal(0, 2, (200, 200))
    luma[:, 120:] += 60.0
    noise = spot_noise(framed(luma), (92, 108), (92, 108))
    (top, bottom), (left, right) = noise.around
    assert bottom - top >= LOOK - 2
    assert (left < 60, right) == (True, 120)


def test_planes_that_share_noise_are_known_to():
    rng = np.random.default_rng(2)
    common = rng.normal(0, 4, (96, 96))
    planes = [np.rint(500 + k * common).astype(np.uint16) for k in (1.0, 1.0, -0.5)]
    frame = Frame(tuple(planes), Signal(10, subsampling=Subsampling.S444))
    correlation = spot_noise(frame, (24, 72), (24, 72)).correlation
    assert correlation[0, 1] == pytest.approx(1.0, abs=0.01)
    assert correlation[0, 2] == pytest.approx(-1.0, abs=0.05)


def test_too_few_cells_say_so_by_their_degrees():
    covariance, degrees = mean_noise(np.zeros((1, 1, 5)), 2, 16)
    assert covariance[0, 0] == 0.0
    assert degrees[0] == 1.0


@given(
    st.integers(0, 2**32 - 1),
    st.integers(2, 90),
    st.integers(2, 90),
    st.integers(0, 80),
    st.integers(0, 80),
)
def test_noise_is_told_by_what_lies_within_the_window_alone(seed, height, width, top, left):
    """A mark keeps no more than that: from its codes the same noise must come."""
    rng = np.random.default_rng(seed)
    rows, columns = (top, top + height), (left, left + width)
    luma = 400.0 + 5.0 * rng.normal(size=(176, 176))
    window = window_of(rows, columns, luma.shape)
    kept = tuple(slice(*span) for span in window)
    other = 400.0 + 5.0 * rng.normal(size=luma.shape)
    other[kept] = luma[kept]
    one, two = (spot_noise(framed(each), rows, columns) for each in (luma, other))
    np.testing.assert_array_equal(one.standard, two.standard)
    assert one.around == two.around
    for around, whole in zip(one.around, window, strict=True):
        assert whole[0] <= around[0] <= around[1] <= whole[1]


@pytest.mark.parametrize(
    ("rows", "columns"),
    [
        ((40, 60), (40, 60)),
        ((300, 320), (100, 300)),  # cells are those of the shorter side, wherever it lies
        ((100, 300), (300, 320)),
        ((370, 390), (0, 200)),
        ((40, 300), (60, 240)),
    ],
)
def test_all_of_a_window_is_looked_at_where_all_is_flat(rows, columns):
    flat = framed(np.full((400, 480), 420.0))
    assert spot_noise(flat, rows, columns).around == window_of(rows, columns, (400, 480))


def test_a_window_holds_its_rectangle_where_whole_cells_do_not():
    odd = ((41, 300), (61, 243))
    assert window_of(*odd, (400, 480)) == odd
