"""A user's table on pixels, beside the oracle's own tetrahedral interpolation."""

import colour.algebra
import numpy as np
import pytest

from overlays.draw.layout.cube import Cube
from overlays.draw.layout.monitor import Monitor, ViewTransform
from overlays.draw.picture.cube_table import EDGE, HALF, cube_table
from overlays.draw.picture.picture import PictureDrawer
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.frame import Frame
from overlays.signal.levels import Carriage, carriage_line
from overlays.signal.published import published_curve
from overlays.signal.signal import Signal, Subsampling
from tests.crews import Backwards

SIGNAL = Signal(bits=10, subsampling=Subsampling.S444)


def cube(size=9, seed=0, low=0.0, high=1.0):
    chance = np.random.default_rng(seed)
    grid = np.linspace(0.0, 1.0, size)
    blue, green, red = np.meshgrid(grid, grid, grid, indexing="ij")
    plain = np.stack([red, green, blue], axis=-1)
    bent = plain**0.7 + chance.uniform(-0.08, 0.08, plain.shape)
    return Cube("look", (low,) * 3, (high,) * 3, bent.astype(np.float32))


def levels_of(table, yard):
    """Values of the curve at the table's own levels."""
    offset, slope = carriage_line(yard.carried.carriage, yard.carried.signal_range)
    return offset + slope * (np.linspace(table.low, table.high, EDGE) - HALF) / 4080.0


def unpacked(colours):
    return np.stack([colours >> 16 & 255, colours >> 8 & 255, colours & 255], axis=-1)


@pytest.mark.parametrize("carriage", list(Carriage))
@pytest.mark.parametrize(("low", "high"), [(0.0, 1.0), (-0.1, 0.9)])
def test_each_colour_is_that_of_tetrahedral_interpolation(carriage, low, high):
    yard, made = yardstick(SIGNAL, published_curve("V-Log"), carriage), cube(low=low, high=high)
    table = cube_table(made, yard)
    at = np.clip((levels_of(table, yard) - low) / (high - low), 0.0, 1.0)
    chance = np.random.default_rng(1).integers(0, EDGE, (2000, 3))
    wanted = colour.algebra.table_interpolation_tetrahedral(
        at[chance], made.nodes.transpose(2, 1, 0, 3).astype(float)
    )
    found = unpacked(table.colours.reshape((EDGE,) * 3)[tuple(chance.T)])
    assert np.abs(found - np.clip(wanted, 0.0, 1.0) * 255.0).max() <= 0.51


def test_a_table_of_one_dimension_goes_channel_by_channel():
    yard = yardstick(SIGNAL, published_curve("BT.709"))
    nodes = np.array([[0.0, 0.2, 1.0], [1.0, 0.4, 0.0]], np.float32)
    table = cube_table(Cube("look", (0.0,) * 3, (1.0,) * 3, nodes), yard)
    solid = unpacked(table.colours.reshape((EDGE,) * 3))
    ramp = np.clip(levels_of(table, yard), 0.0, 1.0)
    np.testing.assert_allclose(solid[:, 5, 9, 0], 255.0 * ramp, atol=0.51)
    np.testing.assert_allclose(solid[7, :, 9, 1], 255.0 * (0.2 + 0.2 * ramp), atol=0.51)
    np.testing.assert_allclose(solid[7, 5, :, 2], 255.0 * (1.0 - ramp), atol=0.51)


def test_whoever_makes_it_it_is_the_same():
    yard, made = yardstick(SIGNAL, published_curve("V-Log")), cube()
    alone, shared = cube_table(made, yard), cube_table(made, yard, Backwards(3))
    np.testing.assert_array_equal(alone.colours, shared.colours)


def grey_ramp(columns=512):
    luma = np.linspace(64, 940, columns).round().astype(np.uint16)
    rows = np.broadcast_to(luma, (8, columns)).copy()
    still = np.full((8, columns), 512, np.uint16)
    return Frame((rows, still, still), SIGNAL)


def test_a_picture_through_a_table_that_changes_nothing_is_as_sent():
    frame, yard = grey_ramp(), yardstick(SIGNAL, published_curve("BT.709"))
    nodes = np.array([[0.0] * 3, [1.0] * 3], np.float32)
    plain = Cube("nothing", (0.0,) * 3, (1.0,) * 3, nodes)
    sent, through = np.zeros((8, 512), np.uint32), np.zeros((8, 512), np.uint32)
    PictureDrawer().draw(frame, yard, (), sent, Monitor(transform=ViewTransform.AS_SENT))
    own = Monitor(transform=ViewTransform.CUBE, cube=plain)
    PictureDrawer().draw(frame, yard, (), through, own)
    off = unpacked(through).astype(float) - unpacked(sent)
    # Nearest of 128 levels from pixel to pixel; over four neighbours it is the level that was sent.
    assert np.abs(off).max() <= 2.0
    smooth = off.reshape(4, 2, 256, 2, 3).mean(axis=(1, 3))
    assert np.abs(smooth).max() <= 1.0


def test_without_a_table_the_choice_shows_the_normal_view():
    frame, yard = grey_ramp(), yardstick(SIGNAL, published_curve("V-Log"))
    usual, none = np.zeros((8, 512), np.uint32), np.zeros((8, 512), np.uint32)
    PictureDrawer().draw(frame, yard, (), usual)
    PictureDrawer().draw(frame, yard, (), none, Monitor(transform=ViewTransform.CUBE))
    np.testing.assert_array_equal(usual, none)
