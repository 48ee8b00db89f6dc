"""What is sharp is lit, what is blurred or noise is not, and nothing beside the picture changes."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.draw.picture.edges import INK, LEAST, light_edges


def grey(levels):
    level = np.asarray(levels, np.uint32)
    return level << 16 | level << 8 | level


def plain(pixels):
    """The same in plain NumPy."""
    red, green, blue = (pixels >> shift & 255 for shift in (16, 8, 0))
    luma = ((red + 2 * green + blue) >> 2).astype(int)
    edged = np.pad(luma, 1, mode="edge")
    across = np.abs(2 * luma - edged[1:-1, :-2] - edged[1:-1, 2:])
    down = np.abs(2 * luma - edged[:-2, 1:-1] - edged[2:, 1:-1])
    return np.where(np.maximum(across, down) >= LEAST, INK, pixels >> 1 & 0x7F7F7F)


@given(st.integers(0, 2**32 - 1), st.integers(1, 12), st.integers(1, 40), st.integers(0, 3))
def test_it_is_what_plain_arrays_say(seed, rows, columns, spare):
    chance = np.random.default_rng(seed)
    screen = chance.integers(0, 1 << 24, (rows, columns + spare), dtype=np.uint32)
    before = screen.copy()
    light_edges(screen[:, :columns])
    np.testing.assert_array_equal(screen[:, :columns], plain(before[:, :columns]))
    np.testing.assert_array_equal(screen[:, columns:], before[:, columns:])


@pytest.mark.parametrize(("blur", "is_lit"), [(0.3, True), (0.5, True), (6.0, False)])
def test_a_sharp_edge_is_lit_and_a_blurred_one_is_not(blur, is_lit):
    place = np.arange(200) - 100
    levels = 40 + 160 / (1 + np.exp(-place / blur))
    picture = np.broadcast_to(grey(levels.round()), (20, 200)).copy()
    light_edges(picture)
    assert (picture == INK).any() == is_lit


def test_the_noise_of_a_camera_is_no_edge():
    levels = 120 + np.random.default_rng(1).normal(0.0, 2.4, (400, 400))
    picture = grey(levels.round())
    light_edges(picture)
    assert (picture == INK).mean() < 2e-4
