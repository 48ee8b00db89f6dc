"""Made pictures of a camera that gives out, encoded with colour-science alone (`colour_frames`)."""

import numpy as np

from tests.colour_frames import frame_of

MID_GREY = 0.18
CEILINGS = (5.0, 3.1, 3.6)
"""Linear light at which R, G and B give out once white balance has lifted red and blue."""


def smooth(rows, columns, seed, cell=24):
    """Soft unevenness from 0 to 1: random values `cell` pixels apart, straight lines between."""
    rng = np.random.default_rng(seed)
    knots = rng.random((rows // cell + 2, columns // cell + 2))
    y, x = np.arange(rows) / cell, np.arange(columns) / cell
    i, j = y.astype(int)[:, None], x.astype(int)[None, :]
    v, u = (y % 1.0)[:, None], (x % 1.0)[None, :]
    upper = knots[i, j] * (1 - u) + knots[i, j + 1] * u
    lower = knots[i + 1, j] * (1 - u) + knots[i + 1, j + 1] * u
    return upper * (1 - v) + lower * v


def room(rows=360, columns=640, seed=1, low=-3.0, high=2.0):
    """Linear light (rows, columns, 3) of a soft scene between two levels in stops."""
    light = MID_GREY * 2.0 ** (low + (high - low) * smooth(rows, columns, seed))
    return light[..., None] * np.array([1.0, 0.97, 0.9])


def with_lamp(light, share, seed=2, peak=9.0):
    """A round lamp whose light falls off; about `share` of the picture lies above +4 stops."""
    rows, columns, _ = light.shape
    rng = np.random.default_rng(seed)
    row, column = rng.uniform(0.3, 0.7, 2) * (rows, columns)
    radius = np.sqrt(share * rows * columns / np.pi)
    y, x = np.mgrid[:rows, :columns]
    away = np.hypot(y - row, x - column) / radius
    lamp = MID_GREY * 2.0 ** (peak - (peak - 4.0) * away**2)
    return light + lamp[..., None] * np.array([1.0, 0.9, 0.7])


def sensed(light, ceilings=CEILINGS, seed=3):
    """What a sensor with 1 % of noise makes of light, clipped channel by channel."""
    noise = np.random.default_rng(seed).normal(0.0, 0.01, light.shape)
    return np.minimum(light * (1.0 + noise), ceilings)


def clipped_frame(share, after, bits=10, seed=1, ceilings=CEILINGS):
    """A lamp over the ceilings; `after` is noise behind them, in codes of 8 bits."""
    light = sensed(with_lamp(room(seed=seed), share, seed + 10), ceilings, seed)
    return frame_of(light, "S-Log3", bits, after * 2 ** (bits - 8), seed)
