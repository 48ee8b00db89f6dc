"""The five calls by which everything here talks to the kernel: the seam where a fake goes in."""

import ctypes
import errno
import fcntl
import mmap
import os
import select
from collections.abc import Sequence
from typing import Protocol, TypeAlias

Mapping: TypeAlias = "mmap.mmap | bytearray"
"""Memory of a capture buffer: a real mapping, or a fake's."""

Ready: TypeAlias = tuple[list[int], list[int]]


class Kernel(Protocol):
    """Open, close, ioctl, mmap and select. Every failure is an OSError with the kernel's errno."""

    def open(self, path: str) -> int:
        """Open a device node for reading and writing, without blocking; its descriptor."""
        ...

    def close(self, fd: int) -> None:
        """Close a descriptor."""
        ...

    def ioctl(self, fd: int, request: int, argument: ctypes.Structure | ctypes.c_int) -> None:
        """Make a request; the answer is written into `argument`."""
        ...

    def mmap(self, fd: int, length: int, offset: int) -> Mapping:
        """Map a capture buffer."""
        ...

    def select(
        self, readable: Sequence[int], exceptional: Sequence[int], timeout_s: float
    ) -> Ready:
        """Wait, at most `timeout_s`, for frames (readable) or events (exceptional)."""
        ...


class SystemKernel:
    """The machine's own kernel."""

    def open(self, path: str) -> int:
        """Open a device node for reading and writing, without blocking."""
        return os.open(path, os.O_RDWR | os.O_NONBLOCK | os.O_CLOEXEC)

    def close(self, fd: int) -> None:
        """Close a descriptor."""
        os.close(fd)

    def ioctl(self, fd: int, request: int, argument: ctypes.Structure | ctypes.c_int) -> None:
        """Make a request; fcntl writes the answer into the structure it is handed."""
        fcntl.ioctl(fd, request, argument)

    def mmap(self, fd: int, length: int, offset: int) -> mmap.mmap:
        """Map a capture buffer, shared with the driver and to be read only."""
        try:
            return mmap.mmap(fd, length, flags=mmap.MAP_SHARED, prot=mmap.PROT_READ, offset=offset)
        except (ValueError, OverflowError) as fault:  # of Python's own checks
            raise OSError(errno.EINVAL, str(fault)) from fault

    def select(
        self, readable: Sequence[int], exceptional: Sequence[int], timeout_s: float
    ) -> Ready:
        """Wait for frames or events.

        select, not poll: a node that does not stream answers POLLERR at once to every poll, which
        select leaves out of the exceptional set.
        """
        ready, _, events = select.select(readable, (), exceptional, max(timeout_s, 0.0))
        return ready, events
