"""The buffers of the fake capture board: queued by the feed, filled by a test, taken again."""

import ctypes
import errno
from collections import deque

from firmware.v4l2 import structs


class FakeBuffers:
    """What a driver's queue holds, and its answers to the requests that concern buffers."""

    def __init__(self) -> None:
        self.maps: list[bytearray] = []
        self.streaming = False
        self._queued: deque[int] = deque()
        self._filled: deque[structs.Buffer] = deque()
        self._sequence = 0

    @property
    def count(self) -> int:
        """Buffers in the driver's hands, empty or filled."""
        return len(self._queued) + len(self._filled)

    @property
    def has_filled(self) -> bool:
        """Whether a picture waits."""
        return bool(self._filled)

    def holds(self, index: int) -> bool:
        """Whether a buffer is in the driver's hands."""
        return index in self._queued or any(index == each.index for each in self._filled)

    def forget(self) -> None:
        """Empty both queues."""
        self._queued.clear()
        self._filled.clear()

    def fill(self, data: bytes, buffer: structs.Buffer, sequence: int | None) -> None:
        """Put a picture into the next queued buffer; it is numbered even where there is none."""
        number = self._sequence if sequence is None else sequence
        self._sequence = number + 1
        if not self._queued:
            return
        buffer.index, buffer.sequence = self._queued.popleft(), number
        self.maps[buffer.index][: len(data)] = data
        self._filled.append(buffer)

    def request(self, count: int, size: int) -> None:
        """New memory for so many buffers (VIDIOC_REQBUFS); the old lives as long as its views."""
        self.maps = [bytearray(size) for _ in range(count)]
        self.forget()

    def describe(self, _fd: int, answer: structs.Buffer) -> None:
        """VIDIOC_QUERYBUF."""
        if answer.index >= len(self.maps):
            raise OSError(errno.EINVAL, "Invalid argument")
        answer.length = len(self.maps[answer.index])
        answer.m.offset = answer.index

    def queue(self, _fd: int, answer: structs.Buffer) -> None:
        """VIDIOC_QBUF."""
        if answer.index in self._queued or answer.index >= len(self.maps):
            raise OSError(errno.EINVAL, "Invalid argument")
        self._queued.append(answer.index)

    def dequeue(self, _fd: int, answer: structs.Buffer) -> None:
        """VIDIOC_DQBUF."""
        if not self._filled:
            raise OSError(errno.EAGAIN, "Resource temporarily unavailable")
        ctypes.pointer(answer)[0] = self._filled.popleft()

    def stream_on(self, _fd: int, _kind: ctypes.c_int) -> None:
        """VIDIOC_STREAMON."""
        self.streaming = True
        self._sequence = 0

    def stream_off(self, _fd: int, _kind: ctypes.c_int) -> None:
        """VIDIOC_STREAMOFF: every buffer comes out of the driver's hands."""
        self.streaming = False
        self.forget()
