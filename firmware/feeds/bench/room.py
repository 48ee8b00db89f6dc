"""The back of the bench's workshop: wall, window, shelves of books, lamp and hanging tools."""

import numpy as np

from firmware.feeds.bench.canvas import (
    F32,
    Box,
    Canvas,
    Cover,
    Painter,
    exponential,
    length,
    line_edge,
    mixed,
    mottle,
    noise,
    oval_edge,
    sine,
    tinted,
)

WINDOW: Box = (0.07, 0.045, 0.50, 0.47)
PANE: Box = (0.305, 0.085, 0.460, 0.235)
"""Open sky in the window, far above any clip."""

LEATHERS = (
    (0.105, 0.016, 0.018),  # oxblood
    (0.024, 0.058, 0.032),  # bottle green
    (0.016, 0.030, 0.085),  # navy
    (0.330, 0.185, 0.085),  # natural calf
    (0.028, 0.020, 0.016),  # black-brown
    (0.620, 0.530, 0.380),  # vellum
    (0.170, 0.068, 0.028),  # chestnut
    (0.300, 0.060, 0.030),  # vermilion
    (0.085, 0.075, 0.070),  # slate cloth
    (0.090, 0.110, 0.150),  # blue-grey cloth
)
GILT = (0.62, 0.42, 0.10)


def daylight(x: F32, y: F32) -> F32:
    """Illumination of the room: strongest by the window, falling to a third at the far corner."""
    away = length(x - np.float32(0.35), (y - np.float32(0.35)) * np.float32(0.8))
    return np.asarray(0.30 + 1.15 / (1.0 + (away / 0.62) ** 2), dtype=np.float32)


def wood(base: tuple[float, float, float], across: float, along: float, place: int = 0) -> Painter:
    """A colour function of straight-grained wood; `across` rings a unit, `along` the other way."""

    def colour(x: F32, y: F32) -> F32:
        bend = noise(x, y, 2.0, 5.0, place)
        rings = sine((y * np.float32(across) + x * np.float32(along)) * 6.28 + bend * 9.0)
        fibre = noise(x, y, 9.0 if across > along else 420.0, 420.0 if across > along else 9.0)
        amount = 0.86 + 0.13 * rings + 0.26 * (fibre - 0.5)
        return tinted(base, np.asarray(amount * daylight(x, y), dtype=np.float32))

    return colour


def _plaster(x: F32, y: F32) -> F32:
    amount = 0.88 + 0.22 * mottle(x, y, 5.0) + 0.07 * (noise(x, y, 260.0, 260.0) - 0.5)
    return tinted((0.205, 0.180, 0.142), np.asarray(amount * daylight(x, y), dtype=np.float32))


def draw_room(canvas: Canvas) -> None:
    """The plaster wall and a rail of dark wood along it."""
    canvas.fill((0.0, 0.0, 1.7778, 0.72), _plaster)
    canvas.shadow((0.52, 0.286, 1.7778, 0.296), 0.5, 0.02)
    canvas.fill((0.52, 0.276, 1.7778, 0.290), wood((0.085, 0.048, 0.027), 40.0, 0.0, 3))


def _sky(x: F32, y: F32) -> F32:
    clouds = mottle(x, y, 4.0, 5)
    return mixed((17.0, 20.0, 24.0), (36.0, 36.0, 35.0), np.clip(2.2 * clouds - 0.5, 0.0, 1.0))


def _foliage(x: F32, y: F32) -> F32:
    leaves = noise(x, y, 110.0, 120.0, 2) * 0.6 + noise(x, y, 260.0, 270.0, 4) * 0.5
    return tinted((0.62, 0.95, 0.30), np.asarray(0.12 + leaves**2 * 2.0, dtype=np.float32))


def draw_window(canvas: Canvas) -> None:
    """A painted sash window with sky and a tree in it."""
    left, top, right, bottom = WINDOW
    frame = tinted_paint((0.60, 0.58, 0.53))
    canvas.shadow(WINDOW, 0.35, 0.05)
    canvas.fill(WINDOW, frame)
    glass = (left + 0.025, top + 0.025, right - 0.025, bottom - 0.03)
    canvas.fill(glass, _sky)
    for n, (x, y, wide, high) in enumerate(
        ((0.10, 0.43, 0.16, 0.28), (0.24, 0.45, 0.20, 0.22), (0.40, 0.45, 0.20, 0.30))
    ):
        crown = (x - wide / 2, y - high / 2, x + wide / 2, y + high / 2)
        bound = (max(crown[0], glass[0]), crown[1], min(crown[2], glass[2]), glass[3])
        canvas.fill(bound, _foliage, _ragged(crown, n))
    bars = tinted_paint((0.50, 0.48, 0.44))
    canvas.fill((left + 0.205, glass[1], left + 0.222, glass[3]), bars)
    canvas.fill((glass[0], 0.246, glass[2], 0.262), bars)
    canvas.shadow((left - 0.02, bottom + 0.01, right + 0.02, bottom + 0.03), 0.5, 0.03)
    canvas.fill((left - 0.025, bottom - 0.006, right + 0.025, bottom + 0.018), frame)
    canvas.fill((left - 0.025, bottom - 0.006, right + 0.025, bottom), (1.5, 1.5, 1.48))


def _ragged(crown: Box, place: int) -> Cover:
    """The edge of a tree's crown."""
    oval = oval_edge(crown)

    def distance(x: F32, y: F32) -> F32:
        leaf = noise(x, y, 45.0, 45.0, place) - 0.5 + 0.5 * (noise(x, y, 110.0, 110.0, place) - 0.5)
        return np.asarray(oval(x, y) + 0.045 * leaf, dtype=np.float32)

    return distance


def tinted_paint(colour: tuple[float, float, float]) -> Painter:
    """Flat paint in the room's light."""

    def paint(x: F32, y: F32) -> F32:
        amount = 0.94 + 0.12 * noise(x, y, 30.0, 200.0, 6)
        return tinted(colour, np.asarray(amount * daylight(x, y), dtype=np.float32))

    return paint


def leather(colour: tuple[float, float, float], grain: float = 190.0, place: int = 0) -> Painter:
    """Grained leather in the room's light."""

    def hide(x: F32, y: F32) -> F32:
        pores = noise(x, y, grain, grain, place) * noise(x, y, 0.6 * grain, 0.6 * grain, place + 1)
        amount = 0.82 + 0.3 * mottle(x, y, 9.0, place) - 0.3 * (pores - 0.25)
        return tinted(colour, np.asarray(amount * daylight(x, y), dtype=np.float32))

    return hide


def _spine(colour: tuple[float, float, float], left: float, right: float, place: int) -> Painter:
    """Leather rounded like the back of a book."""
    hide = leather(colour, 210.0, place)

    def rounded(x: F32, y: F32) -> F32:
        across = (x - left) / (right - left)
        lit = 0.28 + 1.05 * np.sqrt(np.clip(across * (1.0 - across) * 4.0, 0.0, 1.0))
        lit = lit * (1.18 - 0.45 * across)
        return np.asarray(hide(x, y) * lit[..., None], dtype=np.float32)

    return rounded


def draw_books(canvas: Canvas) -> None:
    """A shelf of bound books at the upper right."""
    draw = np.random.default_rng(88)
    back = (0.60, 0.035, 1.74, 0.252)
    canvas.shadow(back, 0.4, 0.03)
    canvas.fill(back, wood((0.050, 0.029, 0.017), 30.0, 0.0, 9))
    canvas.shadow((0.60, 0.035, 1.74, 0.06), 0.5, 0.05)
    x = 0.612
    while x < 1.66:
        wide = float(draw.uniform(0.020, 0.046))
        top = 0.235 - float(draw.uniform(0.115, 0.172))
        colour = LEATHERS[int(draw.integers(len(LEATHERS)))]
        place = int(draw.integers(60))
        box = (x, top, x + wide - 0.0015, 0.236)
        if draw.random() < 0.07:
            x += wide * 1.2  # a gap where a book was taken out
            continue
        canvas.fill(box, _spine(colour, x, x + wide, place))
        _bands(canvas, box, colour, draw)
        x += wide
    board = wood((0.150, 0.088, 0.048), 34.0, 0.0, 4)
    canvas.fill((0.585, 0.236, 1.755, 0.256), board)
    canvas.fill((0.585, 0.022, 1.755, 0.040), board)
    for side in (0.585, 1.735):
        canvas.fill((side, 0.022, side + 0.02, 0.256), wood((0.130, 0.076, 0.041), 0.0, 30.0, 7))


def _bands(
    canvas: Canvas,
    box: Box,
    colour: tuple[float, float, float],
    draw: np.random.Generator,
) -> None:
    """Raised bands and gilt lines across a spine, a label on some."""
    left, top, right, bottom = box
    ink = GILT if colour[0] < 0.5 else (0.07, 0.03, 0.02)
    count = int(draw.integers(2, 6))
    for n in range(1, count + 1):
        y = top + (bottom - top) * n / (count + 1)
        canvas.fill((left, y - 0.0016, right, y + 0.0016), _spine(ink, left, right, n), None, 0.75)
    if draw.random() < 0.45:
        y = top + (bottom - top) / (count + 1) + 0.005
        plate = LEATHERS[int(draw.integers(len(LEATHERS)))]
        canvas.fill((left + 0.003, y, right - 0.003, y + 0.018), _spine(plate, left, right, 3))
        canvas.fill((left + 0.006, y + 0.008, right - 0.006, y + 0.0105), GILT, None, 0.6)


def draw_lamp(canvas: Canvas) -> None:
    """A small enamelled work lamp that hangs between window and shelf; its bulb clips."""
    canvas.fill((0.5435, 0.0, 0.5475, 0.10), (0.012, 0.012, 0.012))
    canvas.glow(0.545, 0.155, 0.28, 0.9)
    shade = (0.497, 0.088, 0.593, 0.172)
    canvas.fill((0.497, 0.088, 0.593, 0.134), _enamel, oval_edge(shade))
    canvas.fill(
        (0.522, 0.126, 0.568, 0.150), (9.0, 7.6, 5.6), oval_edge((0.522, 0.12, 0.568, 0.15))
    )
    canvas.fill(
        (0.532, 0.132, 0.558, 0.147), (28.0, 24.0, 18.0), oval_edge((0.53, 0.12, 0.56, 0.147))
    )


def _enamel(x: F32, y: F32) -> F32:
    turn = np.clip((x - 0.497) / 0.096, 0.0, 1.0)
    gloss = exponential(-(((turn - 0.3) / 0.07) ** 2)) * 0.5
    amount = 0.25 + 0.9 * np.sqrt(turn * (1.0 - turn)) + gloss + 0.0 * y
    return tinted((0.030, 0.090, 0.075), np.asarray(amount, dtype=np.float32))


def draw_tools(canvas: Canvas) -> None:
    """Bone folder, awl and paring knife on the rail, right of the window."""
    steel, bone, ash = (0.34, 0.35, 0.36), (0.70, 0.62, 0.48), (0.26, 0.15, 0.075)
    for x, parts in (
        (0.548, ((0.0, 0.300, 0.0, 0.372, 0.016, ash), (0.0, 0.375, 0.0, 0.440, 0.004, steel))),
        (0.588, ((0.0, 0.302, 0.002, 0.430, 0.014, bone),)),
        (0.622, ((0.0, 0.300, 0.0, 0.360, 0.013, ash), (0.0, 0.364, -0.003, 0.425, 0.011, steel))),
    ):
        canvas.fill((x - 0.001, 0.284, x + 0.001, 0.302), (0.02, 0.018, 0.015))
        for dx0, y0, dx1, y1, width, colour in parts:
            box = (x - 0.02, y0 - 0.01, x + 0.03, y1 + 0.02)
            ghost = line_edge(x + dx0 + 0.007, y0 + 0.008, x + dx1 + 0.007, y1 + 0.008, width)
            canvas.fill(box, (0.05, 0.044, 0.036), ghost, 0.55)
            edge = line_edge(x + dx0, y0, x + dx1, y1, width)
            canvas.fill(box, _round(colour, x, width), edge)


def _round(colour: tuple[float, float, float], middle: float, width: float) -> Painter:
    """A rod lit from the left."""

    def lit(x: F32, y: F32) -> F32:
        across = np.clip((x - middle) / width + 0.5, 0.0, 1.0)
        gloss = exponential(-(((across - 0.28) / 0.12) ** 2))
        amount = 0.55 + 0.75 * gloss - 0.25 * across + 0.1 * noise(x, y, 300.0, 60.0)
        return tinted(colour, np.asarray(amount * daylight(x, y), dtype=np.float32))

    return lit
