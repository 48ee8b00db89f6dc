"""A canvas for the bench's scene: soft-edged shapes and textures in linear light.

Everything is drawn in scene units, so that the scene is the same at every size: x runs from 0 to
16/9 and y from 0 (top) to 1. A canvas is a band of rows, since a whole picture in floats is large.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

F32 = npt.NDArray[np.float32]
Floats = npt.NDArray[np.floating[Any]]
Box = tuple[float, float, float, float]
"""(left, top, right, bottom) in scene units."""
Painter = Callable[[F32, F32], F32]
"""Linear R, G, B (m, n, 3) of x (1, n) and y (m, 1)."""
Colour = tuple[float, float, float] | Painter
"""The same everywhere, or place by place."""
Cover = Callable[[F32, F32], F32]
"""Signed distance to the edge of a shape in scene units, negative inside; of x and y."""

WIDTH = 16.0 / 9.0
_LATTICE = np.random.default_rng(1747).random((256, 256)).astype(np.float32)


def sine(angle: Floats) -> F32:
    """The sine of an angle, the same on every processor.

    numpy takes other instructions on other processors, and they differ in the last bit. In double
    precision that bit is far below what is kept.
    """
    return np.asarray(np.sin(angle, dtype=np.float64), dtype=np.float32)


def exponential(power: Floats) -> F32:
    """Euler's number to a power, the same on every processor; see `sine`."""
    return np.asarray(np.exp(power, dtype=np.float64), dtype=np.float32)


def length(across: Floats, down: Floats) -> F32:
    """How far a point is from the origin, the same on every processor: of steps that are exact."""
    return np.asarray(np.sqrt(across * across + down * down), dtype=np.float32)


def noise(x: F32, y: F32, fine_x: float, fine_y: float, place: int = 0) -> F32:
    """Smooth noise 0..1 of so many cells a unit; `place` picks another patch of it."""
    gx, gy = x * np.float32(fine_x), y * np.float32(fine_y)
    ix, iy = np.floor(gx), np.floor(gy)
    fx, fy = gx - ix, gy - iy
    fx, fy = fx * fx * (3.0 - 2.0 * fx), fy * fy * (3.0 - 2.0 * fy)
    left, top = ix.astype(np.int64) + 71 * place, iy.astype(np.int64) + 37 * place
    left, right, top, below = left & 255, (left + 1) & 255, top & 255, (top + 1) & 255
    if x.shape[0] == 1 and y.shape[1] == 1:
        # Upright axes, the usual case: down the lattice first, then two looks across, not four.
        down = _LATTICE[top[:, 0]] * (1.0 - fy) + _LATTICE[below[:, 0]] * fy
        across = down[:, left[0]] * (1.0 - fx) + down[:, right[0]] * fx
        return np.asarray(across, dtype=np.float32)
    upper = _LATTICE[top, left] * (1.0 - fx) + _LATTICE[top, right] * fx
    lower = _LATTICE[below, left] * (1.0 - fx) + _LATTICE[below, right] * fx
    return np.asarray(upper * (1.0 - fy) + lower * fy, dtype=np.float32)


def mottle(x: F32, y: F32, fine: float, place: int = 0) -> F32:
    """Noise of three octaves, 0..1 with a mean of one half."""
    out = noise(x, y, fine, fine, place) * np.float32(0.55)
    out += noise(x, y, 2.3 * fine, 2.3 * fine, place + 1) * np.float32(0.3)
    out += noise(x, y, 5.1 * fine, 5.1 * fine, place + 2) * np.float32(0.15)
    return out


def tinted(colour: tuple[float, float, float], amount: F32) -> F32:
    """A colour times an amount at each place: (m, n) to (m, n, 3)."""
    return np.asarray(amount[..., None] * np.array(colour), dtype=np.float32)


def mixed(first: tuple[float, float, float], second: tuple[float, float, float], share: F32) -> F32:
    """From one colour to another as the share of the second goes from 0 to 1."""
    return tinted(first, 1.0 - share) + tinted(second, share)


def box_edge(box: Box, radius: float = 0.0) -> Cover:
    """A box with rounded corners."""
    left, top, right, bottom = box
    half_x, half_y = (right - left) / 2.0 - radius, (bottom - top) / 2.0 - radius
    mid_x, mid_y = (left + right) / 2.0, (top + bottom) / 2.0

    def distance(x: F32, y: F32) -> F32:
        dx, dy = np.abs(x - mid_x) - half_x, np.abs(y - mid_y) - half_y
        outside = length(np.maximum(dx, 0.0), np.maximum(dy, 0.0))
        return np.asarray(outside + np.minimum(np.maximum(dx, dy), 0.0) - radius, dtype=np.float32)

    return distance


def oval_edge(box: Box) -> Cover:
    """The ellipse that fills a box."""
    left, top, right, bottom = box
    half_x, half_y = (right - left) / 2.0, (bottom - top) / 2.0
    mid_x, mid_y = (left + right) / 2.0, (top + bottom) / 2.0

    def distance(x: F32, y: F32) -> F32:
        around = length((x - mid_x) / half_x, (y - mid_y) / half_y)
        return np.asarray((around - 1.0) * min(half_x, half_y), dtype=np.float32)

    return distance


def line_edge(x0: float, y0: float, x1: float, y1: float, width: float) -> Cover:
    """A stroke with round ends."""
    run_x, run_y = x1 - x0, y1 - y0
    length2 = run_x * run_x + run_y * run_y

    def distance(x: F32, y: F32) -> F32:
        along = np.clip(((x - x0) * run_x + (y - y0) * run_y) / length2, 0.0, 1.0)
        away = length(x - x0 - along * run_x, y - y0 - along * run_y)
        return np.asarray(away - width / 2.0, dtype=np.float32)

    return distance


@dataclass(slots=True)
class Canvas:
    """Rows `top` to `bottom` of a picture of `rows` x `columns`, as (m, n, 3) linear light."""

    rows: int
    columns: int
    top: int
    bottom: int
    rgb: F32 = field(init=False)

    def __post_init__(self) -> None:
        """Start from black."""
        self.rgb = np.zeros((self.bottom - self.top, self.columns, 3), dtype=np.float32)

    def _part(self, box: Box, margin: float = 0.0) -> tuple[F32, F32, F32] | None:
        """(view of the pixels, x, y) of a box and a margin around; None outside this band."""
        left, top, right, bottom = box
        c0 = max(int((left - margin) / WIDTH * self.columns) - 1, 0)
        c1 = min(int((right + margin) / WIDTH * self.columns) + 2, self.columns)
        r0 = max(int((top - margin) * self.rows) - 1, self.top)
        r1 = min(int((bottom + margin) * self.rows) + 2, self.bottom)
        if c0 >= c1 or r0 >= r1:
            return None
        x = (np.arange(c0, c1, dtype=np.float32)[None, :] + 0.5) * np.float32(WIDTH / self.columns)
        y = (np.arange(r0, r1, dtype=np.float32)[:, None] + 0.5) * np.float32(1.0 / self.rows)
        return self.rgb[r0 - self.top : r1 - self.top, c0:c1], x, y

    def fill(
        self, box: Box, colour: Colour, edge: Cover | None = None, strength: float = 1.0
    ) -> None:
        """Paint a shape (the box itself if no edge is given), its edge softened over a pixel."""
        part = self._part(box)
        if part is None:
            return
        pixels, x, y = part
        distance = (edge or box_edge(box))(x, y)
        cover = np.clip(0.5 - distance * self.rows, 0.0, 1.0)[..., None] * np.float32(strength)
        paint = colour(x, y) if callable(colour) else np.array(colour, dtype=np.float32)
        pixels += cover.astype(np.float32) * (paint - pixels)

    def flat(self, box: Box, colour: tuple[float, float, float]) -> None:
        """Paint every pixel whose middle lies in a box with one colour, edge to edge."""
        part = self._part(box)
        if part is None:
            return
        pixels, x, y = part
        left, top, right, bottom = box
        inside = (x >= left) & (x <= right) & (y >= top) & (y <= bottom)
        pixels[inside] = colour

    def shadow(self, box: Box, depth: float, soft: float, radius: float = 0.01) -> None:
        """Darken under a box by a share `depth`, fading over `soft` around it."""
        part = self._part(box, soft)
        if part is None:
            return
        pixels, x, y = part
        fade = np.clip(1.0 - box_edge(box, radius)(x, y) / np.float32(soft), 0.0, 1.0)
        pixels *= (1.0 - np.float32(depth) * fade * fade * (3.0 - 2.0 * fade))[..., None]

    def glow(self, middle_x: float, middle_y: float, reach: float, amount: float) -> None:
        """Light that falls on what is there: times 1 + amount in the middle, less around."""
        box = (middle_x - reach, middle_y - reach, middle_x + reach, middle_y + reach)
        part = self._part(box)
        if part is None:
            return
        pixels, x, y = part
        near = np.clip(1.0 - length(x - middle_x, y - middle_y) / np.float32(reach), 0.0, 1.0)
        pixels *= (1.0 + np.float32(amount) * near * near * (3.0 - 2.0 * near))[..., None]
