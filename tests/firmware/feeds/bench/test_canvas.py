import numpy as np
import pytest

from firmware.feeds.bench.canvas import (
    WIDTH,
    Canvas,
    box_edge,
    line_edge,
    mixed,
    mottle,
    noise,
    oval_edge,
    tinted,
)

ROWS, COLUMNS = 90, 160


def at(x, y):
    return np.array([[x]], dtype=np.float32), np.array([[y]], dtype=np.float32)


@pytest.mark.parametrize(
    ("edge", "inside", "outside"),
    [
        (box_edge((0.2, 0.2, 0.6, 0.4), 0.02), (0.4, 0.3), (0.7, 0.3)),
        (oval_edge((0.2, 0.2, 0.6, 0.4)), (0.4, 0.3), (0.22, 0.22)),
        (line_edge(0.2, 0.2, 0.6, 0.4, 0.05), (0.4, 0.3), (0.4, 0.4)),
    ],
)
def test_edges_are_negative_inside_and_positive_outside(edge, inside, outside):
    assert edge(*at(*inside))[0, 0] < 0.0 < edge(*at(*outside))[0, 0]


def test_distance_of_a_box_is_in_scene_units():
    assert box_edge((0.2, 0.2, 0.6, 0.4))(*at(0.7, 0.3))[0, 0] == pytest.approx(0.1, abs=1e-6)


def test_bands_join_to_the_same_picture():
    def draw(top, bottom):
        canvas = Canvas(ROWS, COLUMNS, top, bottom)
        canvas.fill((0.0, 0.0, WIDTH, 1.0), lambda x, y: tinted((1.0, 0.5, 0.2), mottle(x, y, 9.0)))
        canvas.shadow((0.3, 0.3, 0.9, 0.6), 0.5, 0.1)
        canvas.fill((0.3, 0.3, 0.9, 0.6), (0.4, 0.4, 0.4), oval_edge((0.3, 0.3, 0.9, 0.6)), 0.8)
        canvas.glow(1.0, 0.5, 0.4, 0.6)
        canvas.flat((1.2, 0.7, 1.4, 0.9), (0.1, 0.2, 0.3))
        return canvas.rgb

    bands = np.concatenate([draw(top, top + 30) for top in range(0, ROWS, 30)])
    np.testing.assert_array_equal(bands, draw(0, ROWS))


def test_flat_is_flat_to_the_last_pixel_and_leaves_the_rest():
    canvas = Canvas(ROWS, COLUMNS, 0, ROWS)
    canvas.flat((0.4, 0.2, 0.8, 0.6), (0.18, 0.2, 0.3))
    painted = (canvas.rgb != 0.0).any(axis=2)
    assert painted.sum() == round(0.4 * ROWS) * round(0.4 / WIDTH * COLUMNS)
    assert np.unique(canvas.rgb[painted], axis=0) == pytest.approx(np.array([[0.18, 0.2, 0.3]]))


def test_shadow_darkens_and_glow_brightens():
    canvas = Canvas(ROWS, COLUMNS, 0, ROWS)
    canvas.fill((0.0, 0.0, WIDTH, 1.0), (1.0, 1.0, 1.0))
    canvas.shadow((0.2, 0.2, 0.4, 0.4), 0.5, 0.05)
    canvas.glow(1.2, 0.5, 0.3, 0.7)
    assert canvas.rgb.min() == pytest.approx(0.5)
    assert canvas.rgb.max() == pytest.approx(1.7, abs=0.02)


def test_noise_is_smooth_and_stays_between_nought_and_one():
    x = np.linspace(0.0, WIDTH, 400, dtype=np.float32)[None, :]
    y = np.linspace(0.0, 1.0, 200, dtype=np.float32)[:, None]
    for field in (noise(x, y, 12.0, 12.0), mottle(x, y, 12.0)):
        assert field.shape == (200, 400)
        assert 0.0 <= field.min() < 0.3
        assert 0.7 < field.max() <= 1.0
        assert abs(float(field.mean()) - 0.5) < 0.1
    assert np.abs(np.diff(noise(x, y, 12.0, 12.0), axis=1)).max() < 0.12


def test_noise_on_upright_axes_is_the_noise_of_each_place():
    x = np.linspace(0.0, 1.7, 40, dtype=np.float32)[None, :]
    y = np.linspace(0.0, 1.0, 30, dtype=np.float32)[:, None]
    wide, high = np.broadcast_arrays(x, y)
    np.testing.assert_allclose(
        noise(x, y, 31.0, 17.0, 3), noise(wide, high, 31.0, 17.0, 3), atol=1e-5
    )


def test_mixed_goes_from_one_colour_to_the_other():
    share = np.array([[0.0, 0.25, 1.0]], dtype=np.float32)
    got = mixed((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), share)
    assert got[0] == pytest.approx(np.array([[1.0, 0.0, 0.0], [0.75, 0.25, 0.0], [0.0, 1.0, 0.0]]))
