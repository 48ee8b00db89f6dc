"""A sensor's own counts as a frame: three of every four pixels, and the curve that undoes black.

A Bayer sensor has one colour to a pixel, in a two by two pattern. Every second pixel of every
second row is the R, a G and the B of a picture of half the size, as views on the buffer. Counts are
linear in light but for a black level, which is part of the curve here so that nothing is clipped.
"""

import re
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from firmware.errors import FeedFormatError
from overlays.signal.curves import Curve, Family
from overlays.signal.frame import Planes
from overlays.signal.levels import Carriage
from overlays.signal.signal import Components, Range, Signal, Subsampling
from overlays.wording.read_number import whole

FloatArray = npt.NDArray[np.float64]

_FORMAT = re.compile(r"S(RGGB|BGGR|GRBG|GBRG)(8|10|12|14|16)")
"""libcamera's names of unpacked Bayer formats: order of the pattern, then bits."""


@dataclass(frozen=True, slots=True)
class SensorLinear:
    """``v = black + (1 - black) x``: 1.0 of light is the count at which the sensor clips."""

    black: float

    def encode(self, linear: FloatArray) -> FloatArray:
        """Signal of linear light."""
        return self.black + (1.0 - self.black) * linear

    def decode(self, value: FloatArray) -> FloatArray:
        """Linear light of a signal."""
        return (value - self.black) / (1.0 - self.black)


@dataclass(frozen=True, slots=True)
class Bayer:
    """A pattern and the bits of its counts."""

    order: str
    bits: int

    def planes(self, data: npt.NDArray[np.uint8], rows: int, columns: int, stride: int) -> Planes:
        """R, G, B views of half the size, (rows // 2, columns // 2) each.

        `data` is flat, `stride` the bytes from row to row; counts of more than 8 bits are
        little-endian 16-bit words.

        Raises
        ------
        FeedFormatError
            There are fewer bytes than that.
        """
        wide = 1 if self.bits == 8 else 2
        needed = (rows - 1) * stride + columns * wide
        if data.size < needed or stride < columns * wide:
            raise FeedFormatError(
                f"camera:raw: a frame of {data.size} bytes in rows of {stride}; {columns}x{rows} "
                f"counts take {needed}"
            )
        lines = np.lib.stride_tricks.as_strided(
            data, (rows, columns * wide), (stride, 1), writeable=False
        )
        counts = lines if wide == 1 else lines.view("<u2")
        red, green, blue = (self._plane(counts, self.order.index(colour)) for colour in "RGB")
        return red, green, blue

    @staticmethod
    def _plane(
        counts: npt.NDArray[np.uint8] | npt.NDArray[np.uint16], place: int
    ) -> npt.NDArray[np.uint8] | npt.NDArray[np.uint16]:
        return counts[place // 2 :: 2, place % 2 :: 2]

    @property
    def signal(self) -> Signal:
        """How the counts are to be read."""
        return Signal(
            bits=self.bits,
            range=Range.FULL,
            components=Components.RGB,
            subsampling=Subsampling.S444,
        )


def bayer_of(name: str) -> Bayer:
    """Pattern and bits of a format by libcamera's name.

    Raises
    ------
    FeedFormatError
        The format is packed, compressed, or no Bayer format.
    """
    found = _FORMAT.fullmatch(name)
    if found is None:
        raise FeedFormatError(
            f"camera: raw format {name} cannot be measured; an unpacked one (SRGGB12 and its like) "
            "is needed"
        )
    return Bayer(found[1], whole(found[2]))


def sensor_curve(black_levels: tuple[int, ...], bits: int) -> Curve:
    """The curve of a sensor with these black levels.

    `black_levels` are libcamera's SensorBlackLevels, one to a pixel of the pattern, on a scale of
    16 bits whatever the sensor has; they differ by a count or so, and their mean is taken.
    """
    counts = sum(black_levels) / len(black_levels) / 2 ** (16 - bits) if black_levels else 0.0
    return Curve(
        name="sensor linear",
        formula=SensorLinear(counts / (2**bits - 1)),
        source="counts of the sensor less its black level (libcamera, SensorBlackLevels)",
        carriage=Carriage.FULL,
        family=Family.STANDARD,
    )
