import numpy as np
import pytest

from overlays.draw.layout.theme import AMBER, EDGE, GROUND, pixel_of, theme_for
from overlays.draw.picture.stripes import (
    NARROWER,
    WEAVES,
    painted_bands,
    scaled_weave,
    stripe_pattern,
    swatch,
)
from overlays.measure.counting.bands import Band, BandKind, around, code_band
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent
from overlays.signal.signal import Signal

SIZES = [(800, 480), (1280, 720), (1920, 1080)]


def test_kinds_differ_in_direction_and_spacing():
    slopes = {kind: weave.rise / weave.run for kind, weave in WEAVES.items()}
    assert len(set(slopes.values())) == 3
    assert len({weave.period for weave in WEAVES.values()}) == 3
    assert slopes[BandKind.AROUND] > 0 > slopes[BandKind.ABOVE]


@pytest.mark.parametrize("size", SIZES)
def test_spacings_stay_different_on_every_screen(size):
    scale = theme_for(*size).scale
    for weave in WEAVES.values():
        periods = {scaled_weave(weave, scale, spacing).period for spacing in NARROWER}
        assert len(periods) == len(NARROWER)
    first = {scaled_weave(weave, scale, 1.0).period for weave in WEAVES.values()}
    assert len(first) == 3


@pytest.mark.parametrize("kind", list(BandKind))
def test_every_light_line_has_a_dark_edge_on_both_sides(kind):
    made = stripe_pattern(WEAVES[kind], AMBER, EDGE, 100)
    line = made.row[: made.period].tolist()
    light, dark = pixel_of(AMBER), pixel_of(EDGE)
    at = [i for i, colour in enumerate(line) if colour == light]
    assert line[at[0] - 1] == dark
    assert line[at[-1] + 1] == dark
    assert 0 in line


@pytest.mark.parametrize("kind", list(BandKind))
def test_lines_lean_the_way_the_weave_says(kind):
    weave = WEAVES[kind]
    image = swatch(stripe_pattern(weave, AMBER, EDGE, 64), GROUND, 13, 64)
    moved = weave.rise * 12 // weave.run
    lower = np.roll(image[0], -moved)
    inner = slice(24, 40)
    np.testing.assert_array_equal(image[12][inner], lower[inner])


def test_bands_of_one_kind_get_different_spacing():
    yard = yardstick(Signal(), published_curve("BT.709"))
    bands = [
        around(percent(20.0), percent(2.0)),
        Band(BandKind.ABOVE, percent(95.0)),
        around(percent(42.0), percent(2.0)),
    ]
    made = painted_bands(tuple(code_band(b, yard) for b in bands), theme_for(1280, 720), 640)
    assert made[0].pattern.period != made[2].pattern.period
    assert made[0].colour != made[1].colour
    assert made[0].pattern.row.size == 640 + made[0].pattern.period
