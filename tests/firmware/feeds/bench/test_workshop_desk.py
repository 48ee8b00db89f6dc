import numpy as np

from firmware.feeds.bench.canvas import Canvas
from firmware.feeds.bench.workshop_desk import (
    TABLE_TOP,
    draw_bench_top,
    draw_desk_things,
    draw_press,
    millboard,
)

ROWS, COLUMNS = 180, 320


def test_everything_leaves_light_and_detail():
    canvas = Canvas(ROWS, COLUMNS, 0, ROWS)
    for draw in (draw_bench_top, draw_press, draw_desk_things):
        before = canvas.rgb.copy()
        draw(canvas)
        changed = (canvas.rgb != before).any(axis=2)
        assert changed.mean() > 0.01
        assert canvas.rgb[changed].std() > 0.01
        assert np.isfinite(canvas.rgb).all()
        assert canvas.rgb.min() >= 0.0


def test_the_table_reaches_the_front_edge():
    canvas = Canvas(ROWS, COLUMNS, 0, ROWS)
    draw_bench_top(canvas)
    assert (canvas.rgb[int(TABLE_TOP * ROWS) + 2 :].max(axis=2) > 0.005).all()


def test_millboard_is_in_even_light():
    x = np.linspace(0.0, 1.7, 100, dtype=np.float32)[None, :]
    y = np.linspace(0.0, 1.0, 50, dtype=np.float32)[:, None]
    board = millboard(x, y)
    assert board.shape == (50, 100, 3)
    assert abs(float(board[:, :50].mean() / board[:, 50:].mean()) - 1.0) < 0.02
