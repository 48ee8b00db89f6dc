import numpy as np

from firmware.feeds.bench.canvas import Canvas
from firmware.feeds.bench.room import (
    PANE,
    daylight,
    draw_books,
    draw_lamp,
    draw_room,
    draw_tools,
    draw_window,
)

ROWS, COLUMNS = 180, 320


def test_daylight_falls_off_from_the_window():
    y = np.array([[0.4]], dtype=np.float32)
    light = daylight(np.array([[0.3, 0.9, 1.7]], dtype=np.float32), y)[0]
    assert light[0] > light[1] > light[2] > 0.2


def test_sky_is_far_above_any_clip():
    canvas = Canvas(ROWS, COLUMNS, 0, ROWS)
    draw_room(canvas)
    draw_window(canvas)
    left, top, right, bottom = PANE
    scale = COLUMNS * 9 / 16
    sky = canvas.rgb[
        int(top * ROWS) + 2 : int(bottom * ROWS) - 2, int(left * scale) + 2 : int(right * scale) - 2
    ]
    assert sky.min() > 0.18 * 2.0**6


def test_everything_leaves_light_and_detail():
    canvas = Canvas(ROWS, COLUMNS, 0, ROWS)
    draw_room(canvas)
    for draw in (draw_window, draw_books, draw_lamp, draw_tools):
        before = canvas.rgb.copy()
        draw(canvas)
        changed = (canvas.rgb != before).any(axis=2)
        assert changed.mean() > 0.002
        assert canvas.rgb[changed].std() > 0.01
        assert np.isfinite(canvas.rgb).all()
        assert canvas.rgb.min() >= 0.0
