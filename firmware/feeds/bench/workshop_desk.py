"""The front of the bench's workshop: table top, press, papers, leather and small things."""

import numpy as np

from firmware.feeds.bench.canvas import (
    F32,
    Box,
    Canvas,
    Cover,
    Painter,
    exponential,
    line_edge,
    mixed,
    mottle,
    noise,
    oval_edge,
    sine,
    tinted,
)
from firmware.feeds.bench.room import LEATHERS, daylight, leather, wood

TABLE_TOP = 0.668


def _planks(x: F32, y: F32) -> F32:
    """A worn beech top: planks that narrow towards the wall, with grain and scars."""
    depth = np.clip((y - TABLE_TOP) / (1.0 - TABLE_TOP), 0.0, 1.0)
    plank = np.sqrt(depth) * 4.0
    which = np.floor(plank)
    seam = exponential(-(((plank - which) / 0.022) ** 2))
    bend = noise(x + which * 3.7, y, 1.6, 7.0, 2)
    rings = sine(y * 260.0 + bend * 14.0 + which * 2.0)
    fibre = noise(x, y, 14.0, 380.0, 5) - 0.5
    scar = np.clip(noise(x, y, 46.0, 260.0, 8) - 0.86, 0.0, 1.0) * 2.5
    tone = 0.9 + 0.1 * sine(which * 2.4)
    amount = (tone + 0.09 * rings + 0.24 * fibre - scar) * (1.0 - 0.75 * seam)
    return tinted((0.235, 0.138, 0.068), np.asarray(amount * daylight(x, y), dtype=np.float32))


def draw_bench_top(canvas: Canvas) -> None:
    """The work table, with the window's sheen on it."""
    canvas.shadow((0.0, TABLE_TOP - 0.02, 1.7778, TABLE_TOP), 0.55, 0.06)
    canvas.fill((0.0, TABLE_TOP, 1.7778, 1.0), _planks)
    canvas.glow(0.30, 0.72, 0.34, 0.7)
    _book_pile(canvas)


def _book_pile(canvas: Canvas) -> None:
    """Four books lying under the window."""
    canvas.shadow((0.10, 0.672, 0.50, 0.690), 0.7, 0.03)
    lying = (
        (0.105, 0.642, 0.490, 0.680, LEATHERS[4]),
        (0.130, 0.602, 0.465, 0.642, LEATHERS[0]),
        (0.112, 0.573, 0.440, 0.602, LEATHERS[9]),
        (0.150, 0.538, 0.425, 0.573, LEATHERS[3]),
    )
    for n, (left, top, right, bottom, colour) in enumerate(lying):
        canvas.fill((left, top, right, bottom), leather(colour, 170.0, 11 * n))
        # The fore-edge: leaves between two boards.
        inner = (left + 0.045, top + 0.0055, right, bottom - 0.0055)
        canvas.fill(inner, _leaves)
        canvas.shadow((left, bottom - 0.003, right, bottom), 0.45, 0.006)
        canvas.fill((left, top, right, top + 0.002), leather(colour, 170.0, n), None, 1.0)


def _leaves(x: F32, y: F32) -> F32:
    lines = noise(x, y, 3.0, 620.0, 7)
    amount = 0.5 + 0.5 * lines + 0.12 * (noise(x, y, 40.0, 90.0) - 0.5)
    return tinted((0.54, 0.47, 0.35), np.asarray(amount * daylight(x, y), dtype=np.float32))


def draw_press(canvas: Canvas) -> None:
    """A lying press behind the cards: a beam of hard beech and two wooden screws."""
    beam = (0.60, 0.626, 1.72, 0.700)
    canvas.shadow((0.60, 0.690, 1.73, 0.715), 0.75, 0.035)
    canvas.fill(beam, wood((0.205, 0.112, 0.052), 46.0, 0.0, 14))
    canvas.shadow((0.60, 0.692, 1.72, 0.700), 0.5, 0.012)
    canvas.fill((0.60, 0.626, 1.72, 0.631), wood((0.40, 0.25, 0.13), 46.0, 0.0, 14))
    for x in (0.690, 1.700):
        canvas.fill((x - 0.026, 0.600, x + 0.026, 0.712), _thread(x), None)
        canvas.shadow((x + 0.014, 0.600, x + 0.026, 0.712), 0.6, 0.01)


def _thread(middle: float) -> Painter:
    """A wooden screw, lit from the left."""

    def lit(x: F32, y: F32) -> F32:
        across = (x - middle) / 0.026
        turns = sine((y * 420.0) + across * 1.6)
        round_light = 0.45 + 0.65 * exponential(-(((across + 0.35) / 0.45) ** 2))
        amount = round_light * (0.85 + 0.28 * turns)
        return tinted((0.19, 0.105, 0.05), np.asarray(amount * daylight(x, y), dtype=np.float32))

    return lit


def draw_desk_things(canvas: Canvas) -> None:
    """What lies on the table in front of the cards."""
    _open_book(canvas)
    _leather_sheet(canvas)
    _marbled_sheets(canvas)
    _thread_spool(canvas)
    _ruler(canvas)


def _page(left: float, right: float, gutter: float) -> Painter:
    """A printed page that bends into the gutter of an open book."""

    def printed(x: F32, y: F32) -> F32:
        into = np.abs(x - gutter) / abs(right - left)
        bend = 0.42 + 0.72 * (1.0 - exponential(-into * 5.0)) - 0.16 * into
        line = (y - 0.750) / 0.0115
        phase = line - np.floor(line)
        words = noise(x, np.floor(line) * 0.37, 150.0, 1.0, 13) > 0.25
        ragged = 0.02 * noise(x * 0.0, np.floor(line), 1.0, 1.7, 3)
        margin = (x > left + 0.03) & (x < right - 0.03 - ragged) & (line > 0.9) & (line < 15.0)
        letters = 0.30 + 0.62 * (noise(x, y, 420.0, 300.0, 2) > 0.35)
        ink = (phase > 0.32) & (phase < 0.70) & words & margin & (np.floor(line) != 7.0)
        amount = bend * (1.0 - np.where(ink, letters, 0.0)) * (0.97 + 0.06 * mottle(x, y, 60.0))
        return tinted((0.66, 0.61, 0.50), np.asarray(amount * daylight(x, y), dtype=np.float32))

    return printed


def _open_book(canvas: Canvas) -> None:
    gutter = 0.375
    canvas.shadow((0.135, 0.745, 0.625, 0.955), 0.65, 0.03)
    canvas.fill((0.132, 0.738, 0.618, 0.950), leather(LEATHERS[1], 160.0, 5))
    for left, right in ((0.142, gutter), (gutter, 0.608)):
        canvas.fill((left, 0.734, right, 0.938), _page(left, right, gutter))
        canvas.fill((left, 0.938, right, 0.945), _leaves)
    canvas.fill(
        (0.468, 0.728, 0.473, 0.972),
        (0.21, 0.012, 0.016),
        line_edge(0.4705, 0.728, 0.4685, 0.972, 0.006),
    )


def _leather_sheet(canvas: Canvas) -> None:
    """A piece of natural calf, cut by hand."""
    box = (0.690, 0.755, 1.045, 0.962)
    outline = _wavy(box)
    canvas.shadow((0.70, 0.765, 1.05, 0.965), 0.6, 0.022)
    canvas.fill(box, leather(LEATHERS[6], 150.0, 21), outline)
    canvas.fill((0.755, 0.785, 0.985, 0.930), leather(LEATHERS[3], 175.0, 30), None)
    canvas.shadow((0.985, 0.790, 0.990, 0.932), 0.5, 0.01)
    for y in (0.792, 0.923):  # blind-tooled lines
        canvas.fill((0.763, y - 0.001, 0.977, y + 0.001), (0.07, 0.035, 0.015), None, 0.7)


def _wavy(box: Box) -> Cover:
    left, top, right, bottom = box

    def distance(x: F32, y: F32) -> F32:
        sway = 0.012 * (noise(x, y, 9.0, 9.0, 4) - 0.5)
        dx = np.abs(x - (left + right) / 2.0) - (right - left) / 2.0 + 0.008
        dy = np.abs(y - (top + bottom) / 2.0) - (bottom - top) / 2.0 + 0.008
        return np.asarray(np.maximum(dx, dy) + sway, dtype=np.float32)

    return distance


def _marble(x: F32, y: F32) -> F32:
    """Combed marbled paper: veins of three colours."""
    swirl = mottle(x, y, 8.0, 3) * 2.2 + 0.25 * sine(x * 95.0)
    vein = sine((y * 22.0 + swirl) * 6.28)
    thin = sine((y * 41.0 + 1.7 * swirl) * 6.28 + 1.0)
    base = mixed((0.035, 0.075, 0.16), (0.42, 0.085, 0.045), np.clip(0.5 + 0.9 * vein, 0.0, 1.0))
    gold = np.clip(3.0 * thin - 2.0, 0.0, 1.0)[..., None]
    veined = base * (1.0 - gold) + gold * np.array((0.60, 0.47, 0.22), dtype=np.float32)
    return np.asarray(veined * daylight(x, y)[..., None] * 1.25, dtype=np.float32)


def millboard(x: F32, y: F32) -> F32:
    """Grey board of pulped fibre, which the swatches are mounted on; in even light."""
    fibre = 0.94 + 0.10 * noise(x, y, 240.0, 240.0, 6) + 0.06 * (mottle(x, y, 30.0) - 0.5)
    return tinted((0.205, 0.190, 0.160), np.asarray(fibre, dtype=np.float32))


def _laid_paper(x: F32, y: F32) -> F32:
    lines = 0.96 + 0.035 * sine(y * 900.0) + 0.05 * (mottle(x, y, 40.0, 9) - 0.5)
    return tinted((0.74, 0.70, 0.61), np.asarray(lines * daylight(x, y), dtype=np.float32))


def _marbled_sheets(canvas: Canvas) -> None:
    canvas.shadow((1.175, 0.758, 1.665, 0.972), 0.55, 0.025)
    canvas.fill((1.150, 0.752, 1.500, 0.955), _laid_paper)
    canvas.shadow((1.235, 0.772, 1.655, 0.968), 0.45, 0.012)
    canvas.fill((1.240, 0.768, 1.655, 0.966), _marble)


def _thread_spool(canvas: Canvas) -> None:
    """A spool of linen thread, standing by the window."""
    canvas.shadow((0.040, 0.820, 0.105, 0.842), 0.7, 0.025)
    for y in (0.722, 0.822):
        disc = (0.026, y - 0.014, 0.104, y + 0.014)
        canvas.fill(disc, wood((0.30, 0.19, 0.10), 30.0, 0.0, 2), oval_edge(disc))
    canvas.fill((0.036, 0.728, 0.094, 0.818), _wound)


def _wound(x: F32, y: F32) -> F32:
    across = (x - 0.065) / 0.029
    turns = 0.86 + 0.16 * sine(y * 1500.0 + across * 1.2) + 0.1 * noise(x, y, 60.0, 300.0)
    lit = (0.40 + 0.75 * exponential(-(((across - 0.25) / 0.6) ** 2))) * turns
    return tinted((0.58, 0.53, 0.43), np.asarray(lit * daylight(x, y), dtype=np.float32))


def _ruler(canvas: Canvas) -> None:
    """A steel rule with a glint of the window on it."""
    canvas.shadow((0.660, 0.727, 1.140, 0.744), 0.55, 0.012)
    canvas.fill((0.655, 0.722, 1.135, 0.742), _steel)
    for n in range(47):
        x, long = 0.663 + 0.01 * n, 0.009 if n % 5 == 0 else 0.0055
        canvas.fill((x - 0.0007, 0.722, x + 0.0007, 0.722 + long), (0.03, 0.03, 0.03), None, 0.85)


def _steel(x: F32, y: F32) -> F32:
    glint = 2.6 * exponential(-(((x - 0.735) / 0.035) ** 2))
    brushed = 0.92 + 0.16 * (noise(x, y, 300.0, 30.0, 12) - 0.5)
    amount = (0.42 + glint) * brushed
    return tinted((0.97, 1.0, 1.03), np.asarray(amount + 0.0 * y, dtype=np.float32))
