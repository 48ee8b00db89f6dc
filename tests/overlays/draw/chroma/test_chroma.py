"""The chroma trace puts light where the counts are."""

import numpy as np
import pytest

from overlays.draw.chroma.chroma import FAINTEST, ChromaDrawer, add_light, brightness, presence
from overlays.draw.chroma.graticule import Disc
from overlays.draw.layout.areas import Area
from overlays.signal.signal import Signal

AREA = Area(0, 0, 400, 400)


def one(cb, cr, count=1):
    counts = np.zeros((256, 256), np.uint32)
    counts[cb, cr] = count
    return counts


def test_brightness_is_a_logarithm_from_faint_to_full():
    counts = one(10, 10, 1) + one(20, 20, 1_000_000)
    light = brightness(counts)
    assert light[20, 20] == pytest.approx(1.0)
    assert FAINTEST < light[10, 10] < FAINTEST + 0.1
    assert light[0, 0] == 0.0
    assert not brightness(np.zeros((256, 256), np.uint32)).any()


@pytest.mark.parametrize("gain", [1, 2, 4, 8])
@pytest.mark.parametrize(("cb", "cr"), [(128, 128), (120, 133), (140, 130)])
def test_light_falls_where_the_arithmetic_says(gain, cb, cr):
    disc = Disc(AREA, gain)
    light = ChromaDrawer().levels(one(cb, cr), disc, Signal(bits=8))
    x, y = disc.point((cb - 128) / 224.0, (cr - 128) / 224.0)
    if not disc.holds((cb - 128) / 224.0, (cr - 128) / 224.0, 4.0):
        return
    row, column = np.unravel_index(int(light.argmax()), light.shape)
    assert abs(column + 0.5 - x) <= max(disc.pixels / 224.0, 1.0)
    assert abs(row + 0.5 - y) <= max(disc.pixels / 224.0, 1.0)


def test_nothing_outside_the_disc():
    light = ChromaDrawer().levels(np.ones((256, 256), np.uint32), Disc(AREA, 2), Signal(bits=8))
    assert light[0, 0] == 0.0
    assert light[200, 200] == pytest.approx(1.0)


def test_light_is_mixed_in():
    pixels = np.full((1, 3), 0x102030, np.uint32)
    add_light(pixels, np.array([[0.0, 1.0, 0.5]], np.float32), (0xF0, 0x20, 0x30))
    assert pixels.tolist() == [[0x102030, 0xF02030, 0x802030]]


def test_whatever_is_seen_at_all_is_present():
    light = np.array([[0.0, FAINTEST / 2, FAINTEST, 1.0]], np.float32)
    assert presence(light)[0].tolist() == pytest.approx([0.0, 0.5, 1.0, 1.0])
