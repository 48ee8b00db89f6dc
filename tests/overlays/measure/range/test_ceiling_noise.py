"""What noise tells of a ceiling, on pictures whose photons are counted here."""

import numpy as np
import pytest

from overlays.measure.counting.yardstick import yardstick
from overlays.measure.range.ceiling_noise import _fall_of_noise, is_quieter, suspicions
from overlays.measure.range.ceiling_signs import outline_of
from overlays.measure.range.tile_areas import Areas, ten_bit_scale
from overlays.signal.published import published_curve
from overlays.signal.signal import Signal

YARD = yardstick(Signal(bits=10), published_curve("ACEScct"))
SCALE = ten_bit_scale(YARD.signal)
ROWS, COLUMNS = 120, 160
FULL = 4.0
"""Linear light of the bright field in the middle."""


def light():
    """A wall whose light falls from one side to the other, and the field."""
    wall = FULL * 2.0 ** -np.linspace(0.4, 2.5, COLUMNS) * np.ones((ROWS, 1))
    field = np.zeros((ROWS, COLUMNS), np.bool_)
    field[40:80, 50:100] = True
    return np.where(field, FULL, wall), field


def areas_of(blocks):
    """Of levels of the four blocks of every tile, (3, 4, rows, columns)."""
    middle = np.sort(blocks, axis=1)[:, 1:3].mean(axis=1).astype(np.float32)
    across = blocks[:, 0] - blocks[:, 1] - blocks[:, 2] + blocks[:, 3]
    peaks = blocks.max(axis=1).astype(np.float32)
    return Areas(2, middle, middle[1], across.astype(np.float32), peaks, SCALE, 16 * ROWS * COLUMNS)


def shot(share, clip=np.inf, after=0.0, seed=3):
    """A sensor's picture: photon noise of `share` at FULL, its clip, noise in levels after it."""
    scene, field = light()
    chance = np.random.default_rng(seed)
    noise = chance.normal(0.0, share, (3, 4, ROWS, COLUMNS)) * np.sqrt(scene * FULL)
    seen = np.minimum(scene + noise, clip)
    level = SCALE.zero + SCALE.span * np.asarray(YARD.carried.nominal(seen))
    return areas_of(level + chance.normal(0.0, 1.0, level.shape) * after), field


def level_of(areas, field):
    return float(np.median(areas.tiles[1][field]))


@pytest.mark.parametrize("channel", [0, 1, 2])
def test_a_field_that_the_sensor_clips_is_quieter_than_light_of_its_level(channel):
    # Photons put more light than that on nearly every pixel; what comes after puts its noise back.
    areas, field = shot(0.04, clip=0.8 * FULL, after=1.2)
    level = float(np.median(areas.tiles[channel][field]))
    on_it = np.abs(areas.tiles[channel] - level) < 3.0
    assert is_quieter(areas, YARD, channel, outline_of(on_it), level)


@pytest.mark.parametrize("share", [0.01, 0.03])
def test_a_field_with_the_noise_of_its_light_is_not(share):
    areas, field = shot(share)
    assert not is_quieter(areas, YARD, 1, outline_of(field), level_of(areas, field))


def test_photon_noise_falls_in_codes_as_the_slope_of_a_curve_says():
    """ITU-R BT.709-6 item 1.2: E' = 1.099 L^0.45 - 0.099, so that sqrt(L) is L^-0.05 in codes."""
    yard = yardstick(Signal(bits=10), published_curve("BT.709"))
    areas, _ = shot(0.0)
    lights = np.array([0.03, 0.1, 0.3, 0.6])
    levels = (64.0 + 876.0 * (1.099 * lights**0.45 - 0.099)).astype(np.float32)
    fall = _fall_of_noise(areas, yard, levels, float(levels[-1]))
    assert fall == pytest.approx((lights[-1] / lights) ** -0.05, rel=0.01)


def test_a_field_that_was_drawn_without_any_noise_is_not():
    areas, field = shot(0.04)
    areas.across[1][field] = 0.0
    assert not is_quieter(areas, YARD, 1, outline_of(field), level_of(areas, field))


def test_what_is_textured_beneath_says_nothing_of_noise():
    areas, field = shot(0.04, clip=0.8 * FULL, after=1.2)
    level = level_of(areas, field)
    on_it = np.abs(areas.tiles[1] - level) < 3.0
    assert is_quieter(areas, YARD, 1, outline_of(on_it), level)
    texture = np.random.default_rng(1).standard_t(1.5, areas.across[1].shape)
    areas.across[1][~on_it] = (10.0 * texture[~on_it]).astype(np.float32)
    assert not is_quieter(areas, YARD, 1, outline_of(on_it), level)


def test_where_too_little_can_be_seen_nothing_is_said():
    areas, field = shot(0.04, clip=0.8 * FULL, after=1.2)
    assert not is_quieter(areas, YARD, 1, outline_of(np.zeros_like(field)), 700.0)
    few = np.zeros_like(field)
    few[50:53, 60:63] = True
    assert suspicions(areas, YARD, outline_of(few), areas.tiles[1], 700.0) == 0


def dead(fields, noisy=True):
    """A noisy wall with things on it that stand on one code in every channel."""
    scene, _ = light()
    level = SCALE.zero + SCALE.span * np.asarray(YARD.carried.nominal(0.5 * scene))
    blocks = np.broadcast_to(level, (3, 4, ROWS, COLUMNS)).copy()
    if noisy:
        blocks += np.random.default_rng(2).normal(0.0, 4.0, blocks.shape)
    inside = np.zeros((ROWS, COLUMNS), np.bool_)
    for top, left in fields:
        inside[top : top + 16, left : left + 16] = True
    blocks[:, :, inside] = 800.0
    return areas_of(blocks), inside


ONE, TWO, THREE = [(10, 10)], [(10, 10), (60, 60)], [(10, 10), (60, 60), (10, 120)]


@pytest.mark.parametrize(
    ("fields", "noisy", "reasons"),
    [
        (ONE, False, 0),  # drawn as all the rest is
        (ONE, True, 1),  # alone without noise
        (TWO, True, 1),  # two lamps of one kind may be alike
        (THREE, False, 1),  # three are no chance
        (THREE, True, 2),
    ],
)
def test_reasons_are_counted(fields, noisy, reasons):
    areas, inside = dead(fields, noisy=noisy)
    assert suspicions(areas, YARD, outline_of(inside), areas.tiles[1], 800.0) == reasons


def test_one_channel_that_lives_takes_all_suspicion():
    areas, inside = dead(THREE)
    areas.across[2][inside] += 1.0
    assert suspicions(areas, YARD, outline_of(inside), areas.tiles[1], 800.0) == 0
