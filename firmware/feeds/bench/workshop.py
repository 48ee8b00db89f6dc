"""The bench's scene: a bookbinder's workshop of our own invention, in linear light.

Light is reflectance x illumination, 0.18 at mid-grey. The cards, the swatches and the chart stand
in even light (illumination 1) and are flat to the last pixel; everything else has texture.
"""

from collections.abc import Iterator

import numpy as np

from firmware.feeds.bench.canvas import WIDTH, Box, Canvas
from firmware.feeds.bench.chart_colours import CHART_COLUMNS, MUNSELL_CHART
from firmware.feeds.bench.room import (
    PANE,
    draw_books,
    draw_lamp,
    draw_room,
    draw_tools,
    draw_window,
)
from firmware.feeds.bench.sensor import light_codes
from firmware.feeds.bench.workshop_desk import (
    draw_bench_top,
    draw_desk_things,
    draw_press,
    millboard,
)

U16 = np.uint16
BAND_ROWS = 120
"""Rows drawn at a time, to keep the floats few."""

GREY: Box = (0.779, 0.38, 0.999, 0.62)
"""In the middle of the picture."""
WHITE: Box = (1.03, 0.38, 1.135, 0.485)
BLACK: Box = (1.03, 0.515, 1.135, 0.62)
SKIN: tuple[Box, ...] = tuple(
    (0.655, 0.392 + 0.074 * n, 0.735, 0.460 + 0.074 * n) for n in range(3)
)
CHART: Box = (1.175, 0.326, 1.665, 0.656)

GREY_LIGHT = 0.18
WHITE_LIGHT = 0.83
"""The white of a grey-scale chart (ITU-R BT.2408 Table 1): 91 % on BT.709, +2.2 stops."""
BLACK_LIGHT = 0.0016
"""A black of 2 % that mirrors a dark corner: -6.8 stops (common practice, no source)."""
SKIN_LIGHT = ((0.52, 0.335, 0.250), (0.290, 0.160, 0.105), (0.088, 0.046, 0.031))
"""Skin-like tones; invented for the bench, not measured skin."""


def _chart_boxes() -> Iterator[tuple[str, Box, tuple[float, float, float]]]:
    """Name, box and light of each patch of the chart."""
    left, top, _, _ = CHART
    for n, (name, light) in enumerate(MUNSELL_CHART.items()):
        row, column = divmod(n, CHART_COLUMNS)
        x, y = left + 0.0125 + 0.0785 * column, top + 0.0125 + 0.0775 * row
        yield name, (x, y, x + 0.0725, y + 0.0725), light


def named_boxes() -> dict[str, Box]:
    """Every thing of even light with a name, by the box it fills."""
    boxes = {"grey card": GREY, "white card": WHITE, "glossy black": BLACK, "window": PANE}
    boxes |= {f"skin {n + 1}": box for n, box in enumerate(SKIN)}
    return boxes | {f"chart {name}": box for name, box, _ in _chart_boxes()}


def _draw_cards(canvas: Canvas) -> None:
    for box in (GREY, WHITE, BLACK, CHART, (0.643, 0.38, 0.747, 0.62)):
        left, top, right, bottom = box
        canvas.shadow((left + 0.008, top + 0.012, right + 0.01, bottom + 0.008), 0.65, 0.03)
    canvas.fill((0.643, 0.38, 0.747, 0.62), millboard)
    for box, light in zip(SKIN, SKIN_LIGHT, strict=True):
        canvas.flat(box, light)
    canvas.flat(GREY, (GREY_LIGHT,) * 3)
    canvas.flat(WHITE, (WHITE_LIGHT,) * 3)
    canvas.fill((1.027, 0.512, 1.138, 0.623), (0.02, 0.02, 0.021))
    canvas.flat(BLACK, (BLACK_LIGHT,) * 3)
    # The black card's gloss: a lamp's reflection along its rim, outside of what is read.
    canvas.fill((1.027, 0.512, 1.138, 0.515), (1.6, 1.5, 1.35))
    canvas.fill(CHART, millboard)
    for _, box, light in _chart_boxes():
        canvas.flat(box, light)


def _draw_band(canvas: Canvas) -> None:
    draw_room(canvas)
    draw_window(canvas)
    draw_books(canvas)
    draw_lamp(canvas)
    draw_tools(canvas)
    draw_bench_top(canvas)
    draw_press(canvas)
    draw_desk_things(canvas)
    _draw_cards(canvas)


def workshop(rows: int, columns: int) -> np.ndarray[tuple[int, int, int], np.dtype[np.uint16]]:
    """The scene as light codes (see `bench_sensor`), (rows, columns, 3) uint16."""
    codes = np.empty((rows, columns, 3), dtype=U16)
    for top in range(0, rows, BAND_ROWS):
        bottom = min(top + BAND_ROWS, rows)
        canvas = Canvas(rows, columns, top, bottom)
        _draw_band(canvas)
        codes[top:bottom] = light_codes(canvas.rgb)
    return codes


def pixel_place(box: Box, rows: int, columns: int) -> tuple[int, int, int] | None:
    """(column, row, size) of the largest square spot well inside a box; None if there is none."""
    left, top, right, bottom = box
    wide, high = (right - left) / WIDTH * columns, (bottom - top) * rows
    size = int(min(wide, high) * 0.8)
    if size < 1:
        return None
    column, row = (left + right) / 2.0 / WIDTH * columns, (top + bottom) / 2.0 * rows
    return int(column), int(row), size
