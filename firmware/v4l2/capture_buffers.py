"""Capture buffers: lent to frames as they are, and queued again when the frame is done with."""

import contextlib
import ctypes
import errno
from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from firmware.v4l2 import ioctls, structs
from firmware.v4l2.bounds import (
    MOST_BUFFERS,
    MOST_BYTES,
    NUMBERED_ANEW,
    check_buffer,
    nonsense,
)
from firmware.v4l2.kernel import Kernel, Mapping

Bytes: TypeAlias = npt.NDArray[np.uint8]

WISHED = 5
"""One being written, one waiting, and up to three lent (measured, drawn, held for a step)."""
LEAST = 2


@dataclass(slots=True)
class Counts:
    """What became of the pictures of a feed since it was opened.

    Attributes
    ----------
    delivered:
        Handed out as frames.
    passed_over:
        Good, but older than another one that waited: the newest wins.
    lost:
        Never reached us: gaps in the driver's own numbering.
    broken:
        Marked by the driver as damaged, or a JPEG that is not whole or in doubt; never measured.
    short:
        Fewer bytes than the picture has; never measured.
    restarts:
        Times the stream was set up anew after a change of the source.
    silences:
        Times it was started again because nothing came.
    failures:
        Requests that the driver refused, or answered with what cannot be.
    """

    delivered: int = 0
    passed_over: int = 0
    lost: int = 0
    broken: int = 0
    short: int = 0
    restarts: int = 0
    silences: int = 0
    failures: int = 0

    @property
    def spoilt(self) -> int:
        """Pictures that came and could not be used."""
        return self.broken + self.short


@dataclass(frozen=True, slots=True)
class TakenBuffer:
    """A filled buffer, out of the driver's hands until it is queued again."""

    index: int
    data: Bytes
    time_ns: int | None
    """On CLOCK_MONOTONIC; None where the driver's stamp is of another clock."""
    sequence: int


@dataclass(slots=True)
class Stream:
    """The buffers of one run from STREAMON to STREAMOFF.

    A buffer that is lent when the stream stops stays mapped, unchanged, until its last view is
    gone: the mapping belongs to the views, not to this object.
    """

    kernel: Kernel
    fd: int
    least_bytes: int
    counts: Counts
    most_bytes: int = MOST_BYTES
    _maps: list[Mapping] = field(default_factory=list)
    _expected: int | None = None
    _running: bool = False
    _queued: set[int] = field(default_factory=set)

    def start(self) -> None:
        """Request, map and queue buffers and start the stream; none are kept where it is refused.

        Raises
        ------
        OSError
            The kernel's refusal; ENOMEM where fewer than two buffers could be had.
        """
        try:
            self._start()
        except BaseException:
            # A driver takes no other format while it has buffers, and calls itself busy.
            self.stop()
            raise

    def _start(self) -> None:
        asked = structs.RequestBuffers(count=WISHED, type=ioctls.CAPTURE, memory=ioctls.MMAP)
        self.kernel.ioctl(self.fd, ioctls.REQBUFS, asked)
        if asked.count < LEAST:
            raise OSError(errno.ENOMEM, "too little memory for capture buffers")
        if asked.count > MOST_BUFFERS:
            raise nonsense(f"{asked.count} capture buffers")
        places: set[int] = set()
        for index in range(asked.count):
            buffer = self._buffer(index)
            self.kernel.ioctl(self.fd, ioctls.QUERYBUF, buffer)
            check_buffer(buffer.length, self.least_bytes, self.most_bytes)
            if buffer.length * (index + 1) > MOST_BYTES:
                raise nonsense(f"{asked.count} buffers of {buffer.length} bytes")
            if buffer.m.offset in places:
                # A frame that is lent would be written over by the next one.
                raise nonsense(f"buffer {index} in the place of another")
            places.add(int(buffer.m.offset))
            self._maps.append(self.kernel.mmap(self.fd, buffer.length, buffer.m.offset))
        for index in range(asked.count):
            self._queue(index)
        self.kernel.ioctl(self.fd, ioctls.STREAMON, ctypes.c_int(ioctls.CAPTURE))
        self._running = True

    def stop(self) -> None:
        """Stop the stream and let go of the buffers; harmless on a device that is gone."""
        if self._running:
            self._running = False
            self._quietly(ioctls.STREAMOFF, ctypes.c_int(ioctls.CAPTURE))
        self._maps.clear()
        self._queued.clear()
        nothing = structs.RequestBuffers(count=0, type=ioctls.CAPTURE, memory=ioctls.MMAP)
        self._quietly(ioctls.REQBUFS, nothing)

    def _quietly(self, request: int, argument: structs.RequestBuffers | ctypes.c_int) -> None:
        # Whatever a driver says to being stopped, the stream is over: the device may have gone
        # first (ENODEV, EIO), a lent buffer may still be mapped, which old kernels do not allow
        # (EBUSY). The caller closes the node, which frees them as well.
        with contextlib.suppress(OSError):
            self.kernel.ioctl(self.fd, request, argument)

    @staticmethod
    def _buffer(index: int) -> structs.Buffer:
        return structs.Buffer(index=index, type=ioctls.CAPTURE, memory=ioctls.MMAP)

    def give_back(self, index: int) -> None:
        """Let the driver fill a buffer again; harmless after `stop`."""
        if self._running:
            self._queue(index)

    def _queue(self, index: int) -> None:
        self._queued.add(index)
        try:
            self.kernel.ioctl(self.fd, ioctls.QBUF, self._buffer(index))
        except OSError:
            self._queued.discard(index)
            raise

    def newest(self) -> TakenBuffer | None:
        """The newest whole picture that waits, or None; older and damaged ones are given back.

        Raises
        ------
        OSError
            As the kernel says, ENODEV where the device is gone; EPROTO where it names a buffer that
            it does not have.
        """
        best: TakenBuffer | None = None
        for _ in range(2 * len(self._maps)):
            buffer = self._dequeue()
            if buffer is None:
                break
            taken = self._judged(buffer)
            if taken is None:
                continue
            if best is not None:
                self.counts.passed_over += 1
                self.give_back(best.index)
            best = taken
        return best

    def pass_over(self) -> bool:
        """Give back whatever waits: it was filled while nobody asked, and a newer one will come.

        Whether there was a whole picture.
        """
        taken = self.newest()
        if taken is not None:
            self.counts.passed_over += 1
            self.give_back(taken.index)
        return taken is not None

    def _dequeue(self) -> structs.Buffer | None:
        buffer = self._buffer(0)
        try:
            self.kernel.ioctl(self.fd, ioctls.DQBUF, buffer)
        except OSError as fault:
            # EPIPE: the driver has ended the stream; the source-change event says why.
            if fault.errno in {errno.EAGAIN, errno.EPIPE, errno.EINTR}:
                return None
            raise
        if buffer.index not in self._queued:
            # Whose views might be written over; nothing that comes from it is to be believed.
            raise nonsense(f"buffer {buffer.index}, which it does not have")
        self._queued.discard(buffer.index)
        return buffer

    def _judged(self, buffer: structs.Buffer) -> TakenBuffer | None:
        """The picture if it is whole; else it is counted and its buffer queued again."""
        gap = 0 if self._expected is None else buffer.sequence - self._expected
        if 0 < gap < NUMBERED_ANEW:
            self.counts.lost += gap
        self._expected = buffer.sequence + 1
        if buffer.flags & ioctls.FLAG_ERROR:
            self.counts.broken += 1
        elif buffer.bytesused < self.least_bytes:
            self.counts.short += 1
        else:
            return self._taken(buffer)
        self.give_back(buffer.index)
        return None

    def _taken(self, buffer: structs.Buffer) -> TakenBuffer:
        data = np.frombuffer(self._maps[buffer.index], np.uint8)[: buffer.bytesused]
        stamp = buffer.timestamp
        time_ns = None
        if buffer.flags & ioctls.FLAG_TIME_MASK == ioctls.FLAG_TIME_MONOTONIC:
            time_ns = stamp.seconds * 1_000_000_000 + stamp.microseconds * 1000
        return TakenBuffer(int(buffer.index), data, time_ns, int(buffer.sequence))
