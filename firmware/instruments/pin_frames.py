"""The native codes of one pin in some frames, without what lies around: enough for its mean light.

A watch looks at thousands of frames; what it says of a pin is the mean of the readings of a few of
them. Those frames' codes of the pin alone are kept, and give the same readings again.
"""

import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from firmware.errors import JournalError
from firmware.instruments.codes import MOST_BYTES, MOST_SIDE
from overlays.errors import OverlayError
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.spot import SpotPlace
from overlays.measure.spot.spot_means import spot_sums
from overlays.measure.spot.stops import light_stops
from overlays.measure.watch.pin_values import values_of_stops
from overlays.signal.frame import Frame
from overlays.signal.signal import Signal

LEVEL = 3
"""Of the compression: codes are mostly noise, and more effort saves next to nothing."""
MOST_FRAMES = 4096
"""Of one pin in one row; more is no row of ours."""

Reading = tuple[float | None, float | None, float | None]


@dataclass(frozen=True, slots=True)
class PinFrames:
    """Codes of one pin.

    Attributes
    ----------
    place:
        Where it lies in the picture.
    size:
        (rows, columns) of that picture.
    signal, shift, sample_bytes:
        Of the frames.
    samples:
        By time of the frame in ns: the samples of the three planes behind one another,
        little-endian.
    """

    place: SpotPlace
    size: tuple[int, int]
    signal: Signal
    shift: int
    sample_bytes: int
    samples: Mapping[int, bytes] = field(default_factory=dict)

    @classmethod
    def like(cls, frame: Frame, place: SpotPlace) -> "PinFrames":
        """None yet, of a pin on frames like this."""
        size, each = (frame.rows, frame.columns), frame.planes[0].dtype.itemsize
        return cls(place, size, frame.signal, frame.shift, each)

    def only(self, times: Iterable[int]) -> "PinFrames":
        """Those of some times, as far as they are there, in order of time."""
        there = sorted(each for each in set(times) if each in self.samples)
        return replace(self, samples={each: self.samples[each] for each in there})

    def cut(self, frame: Frame) -> bytes:
        """The pin's samples in a frame of this kind."""
        rows, columns = self._box()
        sub = self.signal.subsampling
        chroma = _served(rows, sub.rows), _served(columns, sub.columns)
        luma = slice(*rows), slice(*columns)
        pieces = zip(frame.planes, (luma, chroma, chroma), strict=True)
        return b"".join(plane[where].tobytes() for plane, where in pieces)

    def reading(self, time_ns: int, yard: Yardstick) -> Reading | None:
        """(level, red, blue) in stops, as a watch takes them; None where the frame is not there.

        Raises
        ------
        JournalError
            There are more codes or fewer than the pin takes.
        """
        samples = self.samples.get(time_ns)
        if samples is None:
            return None
        frame, (top, left) = self._frame(samples), (self._box()[0][0], self._box()[1][0])
        place = self.place
        rows = place.row_span[0] - top, place.row_span[1] - top
        columns = place.column_span[0] - left, place.column_span[1] - left
        mean = spot_sums(frame, yard, rows, columns)
        slopes = mean.slope[:, None] * (yard.decoding.matrix * float(1 << self.shift))
        return values_of_stops(*light_stops(mean.light, slopes, yard.weights))

    def packed(self) -> bytes:
        """All samples, in order of time, compressed by zlib; low bytes before high ones."""
        data = np.frombuffer(b"".join(self.samples.values()), np.uint8)
        data = data.reshape(-1, self.sample_bytes).T
        return zlib.compress(data.tobytes(), level=LEVEL)

    def unpacked(self, times: Iterable[int], packed: bytes) -> "PinFrames":
        """The same with what `packed` gave.

        Raises
        ------
        JournalError
            It is damaged, or not of so many frames.
        """
        known = [int(each) for each in times]
        self._check(known)
        length = self._length()
        data = _inflated(packed, length * len(known))
        columns = np.frombuffer(data, np.uint8).reshape(self.sample_bytes, -1)
        whole = np.ascontiguousarray(columns.T).tobytes()
        samples = {
            time: whole[place * length : (place + 1) * length] for place, time in enumerate(known)
        }
        return replace(self, samples=samples)

    def _check(self, times: list[int]) -> None:
        place, (rows, columns) = self.place, self.size
        inside = place.left >= 0 and place.top >= 0 and min(place.size, place.rows) > 0
        inside = inside and place.row_span[1] <= rows <= MOST_SIDE
        inside = inside and place.column_span[1] <= columns <= MOST_SIDE
        is_known = self.sample_bytes in {1, 2} and len(times) <= MOST_FRAMES
        if not (inside and is_known and len(set(times)) == len(times)):
            raise JournalError("the stored frames of a pin lie in no picture")

    def _box(self) -> tuple[tuple[int, int], tuple[int, int]]:
        """Rows and columns that are whole samples of chroma."""
        place, (rows, columns) = self.place, self.size
        (top, bottom), (left, right) = place.row_span, place.column_span
        down = top // 2 * 2, min(-(-bottom // 2) * 2, rows)
        return down, (left // 2 * 2, min(-(-right // 2) * 2, columns))

    def _shapes(self) -> list[tuple[int, int]]:
        (top, bottom), (left, right) = self._box()
        sub = self.signal.subsampling
        luma = bottom - top, right - left
        chroma = -(-luma[0] // sub.rows), -(-luma[1] // sub.columns)
        return [luma, chroma, chroma]

    def _length(self) -> int:
        return self.sample_bytes * sum(rows * columns for rows, columns in self._shapes())

    def _frame(self, samples: bytes) -> Frame:
        if len(samples) != self._length():
            raise JournalError("the stored frames of a pin do not fit it")
        kind: Any = "<u1" if self.sample_bytes == 1 else "<u2"
        planes, at = [], 0
        for rows, columns in self._shapes():
            each = np.frombuffer(samples, kind, rows * columns, at)
            planes.append(each.reshape(rows, columns))
            at += each.nbytes
        try:
            return Frame((planes[0], planes[1], planes[2]), self.signal, self.shift)
        except OverlayError as fault:
            raise JournalError("the stored frames of a pin are none") from fault


def _served(span: tuple[int, int], by: int) -> slice:
    """The samples that serve a span of luma, `by` to one."""
    return slice(span[0] // by, -(-span[1] // by))


def _inflated(packed: bytes, length: int) -> bytes:
    if length > MOST_BYTES:
        raise JournalError("the stored frames of a pin are too many")
    unpacker = zlib.decompressobj()
    try:
        data = unpacker.decompress(packed, length + 1)
    except zlib.error as fault:
        raise JournalError(f"the stored frames of a pin are damaged ({fault})") from fault
    if len(data) != length or not unpacker.eof:
        raise JournalError("the stored frames of a pin are cut short, or too many")
    return data
