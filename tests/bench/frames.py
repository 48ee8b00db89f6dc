"""Frames to time with: a noisy picture, more of them than any cache holds."""

from functools import lru_cache

import numpy as np
import numpy.typing as npt

from overlays.draw.layout.cube import Cube
from overlays.signal.frame import Frame, packed_422, planar, semi_planar_420
from overlays.signal.signal import Matrix, Signal, Subsampling

Bytes = npt.NDArray[np.uint8]

RING_BYTES = 96 * 2**20
"""Frames of one ring together; beyond the last-level cache of the machines this is run on."""


def picture(rows: int, columns: int, seed: int) -> tuple[npt.NDArray[np.float32], ...]:
    """(Y', Cb, Cr) of an invented picture on the 8-bit scale: gradients, shapes and noise.

    One of more rows than 1080p is four of half its size: noise takes longer to make than to count.
    """
    if rows > 1080:
        return tuple(np.tile(part, (2, 2)) for part in _picture(rows // 2, columns // 2, seed))
    return _picture(rows, columns, seed)


@lru_cache(maxsize=3)
def _picture(rows: int, columns: int, seed: int) -> tuple[npt.NDArray[np.float32], ...]:
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[0:rows, 0:columns].astype(np.float32) * np.float32(1080.0 / rows)
    luma = 118.0 + 55.0 * np.sin(x / 210.0 + seed) + 38.0 * np.cos(y / 150.0)
    luma += 20.0 * ((x // 160 + y // 120) % 3) + 2.0 * rng.standard_normal(luma.shape, np.float32)
    cb = 128.0 + 18.0 * np.sin(x / 340.0) + 1.5 * rng.standard_normal(luma.shape, np.float32)
    cr = 128.0 + 18.0 * np.cos(y / 260.0) + 1.5 * rng.standard_normal(luma.shape, np.float32)
    return np.clip(luma, 20.0, 225.0), np.clip(cb, 90.0, 166.0), np.clip(cr, 90.0, 166.0)


def uyvy(rows: int, columns: int, seed: int) -> Bytes:
    """(rows, 2 columns) bytes."""
    luma, cb, cr = picture(rows, columns, seed)
    out = np.empty((rows, columns * 2), np.uint8)
    out[:, 1::2], out[:, 0::4], out[:, 2::4] = luma, cb[:, ::2], cr[:, ::2]
    return out


def frame_from_uyvy(buffer: Bytes) -> Frame:
    """The frame on that buffer: BT.601 matrix, the one OpenCV's conversion has."""
    return Frame(
        packed_422(buffer, buffer.shape[0], buffer.shape[1] // 2),
        Signal(8, matrix=Matrix.BT601, subsampling=Subsampling.S422),
    )


def ring_of_uyvy(rows: int, columns: int) -> list[Bytes]:
    """As many frames as make a ring; a few pictures repeated, each in memory of its own."""
    few = [uyvy(rows, columns, seed) for seed in range(3)]
    count = max(3, RING_BYTES // few[0].nbytes)
    return [few[n % 3].copy() for n in range(count)]


def ring_of(layout: str, rows: int, columns: int) -> list[Frame]:
    """A ring of frames of another layout: yuv422-10, yuv420, nv12, yuyv."""
    frames: list[Frame] = []
    total = 0
    made = [picture(rows, columns, seed) for seed in range(3)]
    while total < RING_BYTES:
        frame = _layout(layout, *made[len(frames) % 3])
        frames.append(frame)
        total += sum(p.size * p.dtype.itemsize for p in frame.planes)
    return frames


def _layout(
    layout: str,
    luma: npt.NDArray[np.float32],
    cb: npt.NDArray[np.float32],
    cr: npt.NDArray[np.float32],
) -> Frame:
    rows, columns = luma.shape
    if layout == "yuyv":
        out = np.empty((rows, columns * 2), np.uint8)
        out[:, 0::2], out[:, 1::4], out[:, 3::4] = luma, cb[:, ::2], cr[:, ::2]
        return Frame(packed_422(out, rows, columns, "YUYV"), Signal(matrix=Matrix.BT601))
    if layout == "yuv422-10":
        planes = [(4.0 * p).astype("<u2") for p in (luma, cb[:, ::2], cr[:, ::2])]
        buffer = np.concatenate([p.reshape(-1).view(np.uint8) for p in planes])
        signal = Signal(10, matrix=Matrix.BT601, subsampling=Subsampling.S422)
        return Frame(planar(buffer, rows, columns, Subsampling.S422, 2), signal)
    signal = Signal(8, matrix=Matrix.BT601, subsampling=Subsampling.S420)
    small = [p[::2, ::2].astype(np.uint8) for p in (cb, cr)]
    if layout == "nv12":
        pairs = np.stack(small, axis=-1).reshape(-1)
        buffer = np.concatenate([luma.astype(np.uint8).reshape(-1), pairs])
        return Frame(semi_planar_420(buffer, rows, columns), signal)
    parts = [luma.astype(np.uint8).reshape(-1), *(p.reshape(-1) for p in small)]
    return Frame(planar(np.concatenate(parts), rows, columns), signal)


def made_cube(edge: int = 33) -> Cube:
    """A table as users bring them: contrast, and colours turned a little."""
    level = np.linspace(0.0, 1.0, edge)
    blue, green, red = np.meshgrid(level, level, level, indexing="ij")
    plain = np.stack([red, green, blue], axis=-1)
    bent = 3.0 * plain**2 - 2.0 * plain**3
    turned = 0.9 * bent + 0.1 * np.roll(bent, 1, axis=-1)
    return Cube("made", (0.0,) * 3, (1.0,) * 3, turned.astype(np.float32))
