import numpy as np

from overlays.draw.picture.pixel_kernels import paint_stripes, store_plain, store_viewed


def test_levels_are_held_to_what_a_screen_has():
    red = np.array([-900, 0, 16 * 128, 4079, 9000], np.int16)
    out = np.zeros(5, np.uint32)
    store_plain(red, red.copy(), red.copy(), out)
    assert (out & 255).tolist() == [0, 0, 128, 254, 255]
    assert (out >> 16).tolist() == (out & 255).tolist()


def test_a_view_transform_is_looked_up_from_an_eighth_below_black():
    table = np.arange(600, dtype=np.uint16).astype(np.uint8)
    red = np.array([-9000, -510, 0, 20, 30000], np.int16)
    out = np.zeros(5, np.uint32)
    store_viewed(red, red.copy(), red.copy(), table, out)
    assert (out & 255).tolist() == [0, 0, 255, 265 & 255, 599 & 255]


def test_stripes_lie_only_where_the_level_is_in_the_band():
    luma = np.array([1, 5, 6, 7, 8, 9, 5, 20], np.int16)
    pattern = np.array([[9, 0, 9, 0, 9, 0, 9, 0, 9, 0]], np.uint32)
    out = np.zeros(8, np.uint32)
    paint_stripes(luma, 0, np.array([[5, 8, 2, 1, 1]]), pattern, out)
    assert out.tolist() == [0, 0, 9, 0, 9, 0, 9, 0]
    out[:] = 0
    paint_stripes(luma, 1, np.array([[5, 8, 2, 1, 1]]), pattern, out)
    assert out.tolist() == [0, 9, 0, 9, 0, 0, 0, 0]


def test_a_later_band_lies_over_an_earlier_one():
    luma = np.full(4, 5, np.int16)
    patterns = np.array([[1] * 6, [2, 0] * 3], np.uint32)
    out = np.zeros(4, np.uint32)
    paint_stripes(luma, 0, np.array([[0, 9, 2, 1, 1], [4, 6, 2, 1, 1]]), patterns, out)
    assert out.tolist() == [2, 1, 2, 1]
