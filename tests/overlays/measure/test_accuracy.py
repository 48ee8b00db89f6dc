"""Accuracy and the ± on frames that colour-science makes: an independent encoder, known light.

Full range that a limited link was stretched to is made as a grabber makes it: the codes of the link
are whole numbers, and what 0 to 100 % of them became is rounded again and cut off at the ends.
"""

from collections.abc import Callable
from typing import Any

import colour
import numpy as np
import pytest

from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.frame import Frame
from overlays.signal.published import published_curve
from overlays.signal.signal import Range, Signal, Subsampling

EDGE, SPOT = 56, 48
WEIGHTS = np.array([0.2126, 0.7152, 0.0722])  # ITU-R BT.709-6 item 3.2
ENCODE: dict[str, Callable[..., Any]] = {
    "S-Log3": colour.models.log_encoding_SLog3,
    "V-Log": colour.models.log_encoding_VLog,
    "F-Log2": colour.models.log_encoding_FLog2,
    "BT.709": colour.models.oetf_BT709,
}
FULL_SCALE = {"S-Log3", "V-Log", "F-Log2"}


def patches(curve, count, rng):
    """(count, 3) linear RGB from -6.5 stops to the clip, a third of them neutral."""
    top = {"S-Log3": 7.6, "V-Log": 7.9, "F-Log2": 8.2, "BT.709": 2.4}[curve]
    stops = rng.uniform(-6.5, top, count)
    tint = rng.uniform(0.4, 1.0, (count, 3))
    tint[: count // 3] = 1.0
    light = 0.18 * 2.0 ** stops[:, None] * tint / (tint @ WEIGHTS)[:, None]
    limit = 0.18 * 2.0 ** (top + 0.05)
    return light * np.minimum(1.0, limit / light.max(axis=1))[:, None]


ROWS, COLUMNS = 5, 8


def stretched(link, bits):
    """Planes Y', Cb, Cr of a limited link, stretched to full range by whoever took it in."""
    unit, top, middle = 2 ** (bits - 8), 2**bits - 1, 2 ** (bits - 1)
    luma = (link[0] - 16 * unit) * top / (219 * unit)
    chroma = [(p - middle) * top / (224 * unit) + middle for p in link[1:]]
    return [np.clip(np.round(p), 0, top) for p in (luma, *chroma)]


def make(curve, bits, limits, noise_codes, seed):
    """(frame, true stops, true percents, those of the brightest channel): 4:2:2, noise in luma."""
    rng = np.random.default_rng(seed)
    light = patches(curve, ROWS * COLUMNS, rng)
    signal = ENCODE[curve](light)
    if curve in FULL_SCALE and limits is not Range.FULL:
        signal = (1023.0 * signal - 64.0) / 876.0
    top, link = 2**bits - 1, limits is not Range.FULL
    coded = colour.RGB_to_YCbCr(
        signal,
        K=WEIGHTS[[0, 2]],
        in_bits=bits,
        in_legal=False,
        in_int=False,
        out_bits=bits,
        out_legal=link,
        out_int=False,
    )
    codes = coded * top
    if not link:
        codes[:, 1:] += 2 ** (bits - 1)
    picture = codes.reshape(ROWS, COLUMNS, 3).repeat(EDGE, 0).repeat(EDGE, 1)
    luma = picture[..., 0] + rng.normal(0.0, noise_codes, picture.shape[:2])
    sent = [np.clip(np.round(p), 0, top) for p in (luma, picture[:, ::2, 1], picture[:, ::2, 2])]
    if limits is Range.STRETCHED:
        sent = stretched(sent, bits)
    planes = tuple(p.astype(np.uint8 if bits == 8 else np.uint16) for p in sent)
    frame = Frame(planes, Signal(bits, limits, subsampling=Subsampling.S422))
    return (
        frame,
        np.log2(light @ WEIGHTS / 0.18),
        100.0 * (signal @ WEIGHTS),
        100.0 * signal.max(axis=1),
    )


def readings(curve, bits, limits, noise_codes, seeds):
    """Rows of (true stops, error, half width, error of percent, its half width, brightest percent).

    Half widths are nan where none is said.
    """
    out = []
    for seed in seeds:
        frame, *truth = make(curve, bits, limits, noise_codes, seed)
        yard = yardstick(frame.signal, published_curve(curve))
        for index, (true, level, brightest) in enumerate(zip(*truth, strict=True)):
            row, column = divmod(index, COLUMNS)
            place = SpotPlace(column * EDGE + EDGE // 2, row * EDGE + EDGE // 2, SPOT)
            spot = read_spot(frame, yard, place)
            widths = [np.nan if pm is None else pm for pm in (spot.stops_pm, spot.percent_pm)]
            error = spot.stops - true, spot.percent - level
            out.append((true, error[0], widths[0], error[1], widths[1], brightest))
    return np.array(out)


@pytest.mark.parametrize("curve", ENCODE)
@pytest.mark.parametrize("limits", [Range.LIMITED, Range.FULL])
@pytest.mark.parametrize(("bits", "bright", "dark"), [(10, 0.01, 0.02), (8, 0.015, 0.03)])
def test_within_the_accuracy_answered_for(curve, limits, bits, bright, dark):
    half_an_8_bit_code = 0.5 * 2 ** (bits - 8)
    rows = readings(curve, bits, limits, half_an_8_bit_code, range(3))
    upper = rows[:, 0] >= -4.0
    assert np.abs(rows[upper, 1]).max() <= bright
    assert np.abs(rows[~upper, 1]).max() <= dark


@pytest.mark.parametrize("curve", ENCODE)
@pytest.mark.parametrize(("bits", "bright", "dark"), [(10, 0.01, 0.03), (8, 0.03, None)])
def test_what_was_stretched_is_as_accurate_as_two_roundings_let_it(curve, bits, bright, dark):
    # Whole codes of the link are rounded again after the noise, which therefore cannot average it
    # away: up to half a code is left, which in the dark of 8 bits is as much as a fifth of a stop.
    rows = readings(curve, bits, Range.STRETCHED, 0.5 * 2 ** (bits - 8), range(3))
    # Above 100 % of the link nothing is left. From 98.8 % a pixel counts as clipped (the margin of
    # three codes, by chroma that was rounded), and noise reaches there from 1 % below.
    stated = np.isfinite(rows[:, 2]) & np.isfinite(rows[:, 4])
    assert stated[rows[:, 5] < 97.5].all()
    assert not stated[rows[:, 5] > 102.0].any()
    assert stated.mean() >= 0.85
    rows = rows[stated]
    upper = rows[:, 0] >= -4.0
    assert np.abs(rows[upper, 1]).max() <= bright
    assert dark is None or np.abs(rows[~upper, 1]).max() <= dark
    assert np.abs(rows[:, 3]).max() <= 100.0 * 0.5 / (2**bits - 1)
    for miss, half in ((np.abs(rows[:, 1]), rows[:, 2]), (np.abs(rows[:, 3]), rows[:, 4])):
        assert (miss <= half).mean() >= 0.95


@pytest.mark.parametrize("curve", ["S-Log3", "BT.709"])
@pytest.mark.parametrize("bits", [8, 10])
@pytest.mark.parametrize("noise", [0.0, 0.15, 0.3, 0.5, 1.2])
def test_the_half_width_covers_the_truth_and_is_no_wider_than_twice_the_need(curve, bits, noise):
    codes = noise * 2 ** (bits - 8)
    rows = readings(curve, bits, Range.LIMITED, codes, range(10, 16))
    # Of the brightest patches of S-Log3 a channel comes within three 8-bit codes of the highest:
    # there noise, or the rounding of chroma, does reach the clip, and no ± is said.
    stated = np.isfinite(rows[:, 2]) & np.isfinite(rows[:, 4])
    assert stated[rows[:, 5] < 107.0].all()
    assert stated.mean() >= 0.97
    rows = rows[stated]
    for miss, half in ((np.abs(rows[:, 1]), rows[:, 2]), (np.abs(rows[:, 3]), rows[:, 4])):
        need = miss / half
        assert (need <= 1.0).mean() >= 0.95
        assert np.quantile(need, 0.95) >= 0.5
