"""What a grabber or a camera may do to a picture besides its range: to practise on."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from overlays.signal.frame import Plane, Planes
from overlays.signal.levels import chroma_scale, luma_scale
from overlays.signal.signal import Components, Signal

BLOCK = 8
FLATTENED = 0.5
"""What a block keeps of what it differs from its mean, in steps of two codes of 8 bits."""


@dataclass(frozen=True, slots=True)
class Faults:
    """Nothing but what is asked for.

    Attributes
    ----------
    repeats:
        Every so many frames one is sent again; 0 for never.
    comb:
        Codes are counted anew with 219 of 255 steps, and back again.
    blocks:
        Blocks of eight pixels, as a codec leaves them.
    bars:
        Width by height that bars above and below leave; 0 for none.
    menu:
        Signs of a camera's menu are burnt in.
    zebra:
        Percent of video level from which on diagonal stripes are burnt in; 0 for none.
    floor:
        Percent below which luma is cut off; 0 for none.
    blends:
        Every so many frames one is the mean of the two beside it; 0 for never.
    chroma:
        Times that colours are raised on the way, and cut off at the ends of their range; 0 for not.
    """

    repeats: int = 0
    comb: bool = False
    blocks: bool = False
    bars: float = 0.0
    menu: bool = False
    zebra: float = 0.0
    floor: float = 0.0
    blends: int = 0
    chroma: float = 0.0

    @property
    def changes_pictures(self) -> bool:
        """Whether pictures are changed, and not only repeated."""
        drawn = self.bars > 0.0 or self.menu or self.zebra > 0.0 or self.floor > 0.0
        return self.comb or self.blocks or self.chroma > 0.0 or drawn

    @property
    def needs_the_last(self) -> bool:
        """Whether a picture is made of the one before."""
        return self.repeats > 0 or self.blends > 0

    def is_blend(self, number: int) -> bool:
        """Whether a frame is made of the pictures before and behind it."""
        return self.blends > 0 and number % self.blends == self.blends - 1

    def source(self, number: int) -> int:
        """The number of the picture that is sent as a frame."""
        return number - 1 if self.repeats and number % self.repeats == self.repeats - 1 else number


def spoil(planes: Planes, signal: Signal, shift: int, faults: Faults) -> None:
    """Do to the samples of a frame what was asked for; in place."""
    luma = planes[0]
    rgb = signal.components is Components.RGB
    if faults.blocks:
        for plane in planes if rgb else (luma,):
            _flatten(plane, 2 << (signal.bits - 8 + shift))
    for plane in planes if rgb else (luma,):
        if faults.floor:
            np.maximum(plane, _sample(faults.floor, signal, shift), out=plane)
        if faults.zebra:
            _stripe(plane, *(_sample(each, signal, shift) for each in (faults.zebra, 0.0)))
    if faults.menu:
        _write_menu(planes, signal, shift)
    if faults.bars:
        _lay_bars(planes, signal, shift, faults.bars)
    if faults.chroma and not rgb:
        for plane in planes[1:]:
            _raise_chroma(plane, signal, shift, faults.chroma)
    if faults.comb:
        table = comb_table(signal.bits)
        for plane in planes if rgb else (luma,):
            plane[:] = table[plane >> shift] << shift


def _lay_bars(planes: Planes, signal: Signal, shift: int, shape: float) -> None:
    rows, columns = planes[0].shape
    height = max(int((rows - columns / shape) / 2.0) // 2 * 2, 0)
    for plane, level in zip(planes, _black(signal), strict=True):
        edge = height * plane.shape[0] // rows
        plane[:edge] = round(level) << shift
        plane[plane.shape[0] - edge :] = round(level) << shift


def _raise_chroma(plane: Plane, signal: Signal, shift: int, times: float) -> None:
    """Colours so many times as strong, from 16 to 240 of 8 bits (ITU-R BT.2100-2 Table 9)."""
    zero, half = chroma_scale(signal).zero, 112 << (signal.bits - 8)
    away = np.rint(times * ((plane >> shift).astype(np.float64) - zero))
    plane[:] = np.ldexp(np.clip(away, -half, half) + zero, shift)


def writable(planes: Planes, buffer: npt.NDArray[np.uint8]) -> Planes:
    """The same views on a buffer that is not lent yet, to be written to."""
    start = buffer.__array_interface__["data"][0]
    one, two, three = (
        np.ndarray(
            plane.shape,
            plane.dtype,
            buffer.data,
            plane.__array_interface__["data"][0] - start,
            plane.strides,
        )
        for plane in planes
    )
    return one, two, three


def comb_table(bits: int) -> npt.NDArray[np.unsignedinteger[Any]]:
    """(2**bits,) the code that each becomes where it is made limited and full again."""
    limited = luma_scale(Signal(bits))
    every = np.arange(limited.top + 1)
    squeezed = np.rint(limited.zero + every * limited.span / limited.top)
    back = np.rint((squeezed - limited.zero) * limited.top / limited.span)
    return np.clip(back, 0, limited.top).astype(np.uint8 if bits == 8 else np.uint16)


def _black(signal: Signal) -> tuple[float, float, float]:
    luma, chroma = luma_scale(signal).zero, chroma_scale(signal).zero
    return (luma, luma, luma) if signal.components is Components.RGB else (luma, chroma, chroma)


def _flatten(plane: Plane, step: int) -> None:
    rows, columns = plane.shape[0] // BLOCK * BLOCK, plane.shape[1] // BLOCK * BLOCK
    cut = plane[:rows, :columns].astype(np.float64)
    blocks = cut.reshape(rows // BLOCK, BLOCK, columns // BLOCK, BLOCK)
    mean = blocks.mean(axis=(1, 3), keepdims=True)
    kept = mean + step * np.rint(FLATTENED * (blocks - mean) / step)
    made = np.clip(np.rint(kept), 0, np.iinfo(plane.dtype).max).reshape(rows, columns)
    plane[:rows, :columns] = made.astype(plane.dtype)


def _sample(percent: float, signal: Signal, shift: int) -> int:
    """A level of video as luma is stored."""
    scale = luma_scale(signal)
    return round(scale.zero + scale.span * percent / 100.0) << shift


def _stripe(plane: Plane, above: int, ink: int) -> None:
    """Stripes across what is bright, five pixels wide and as far apart."""
    rows, columns = np.indices(plane.shape, dtype=np.int32)
    plane[(plane > above) & ((rows + columns) // 5 % 2 == 0)] = ink


def blend(one: Plane, other: Plane) -> Plane:
    """The mean of two pictures' samples, rounded up at halves."""
    mean = (one.astype(np.uint32) + other + 1) >> 1
    return np.asarray(mean.astype(one.dtype))


def _write_menu(planes: Planes, signal: Signal, shift: int) -> None:
    """Lines of signs in the upper right: white bars on black, as type looks from afar."""
    scale = luma_scale(signal)
    white = round(scale.zero + scale.span) << shift
    for plane, level in zip(planes, _black(signal), strict=True):
        rows, columns = plane.shape
        box = plane[rows // 10 : rows // 3, columns * 2 // 3 : columns * 9 // 10]
        box[:] = round(level) << shift
        if plane is planes[0] or signal.components is Components.RGB:
            for top in range(4, box.shape[0] - 8, 16):
                box[top : top + 8, 8:-8:4] = white
