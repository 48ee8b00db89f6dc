"""What is kept of a frame beyond the time that its feed lends it for."""

import ctypes
from dataclasses import replace

import numpy as np

from overlays.signal.frame import Frame, Plane


def kept(frame: Frame) -> Frame:
    """A copy that outlives the buffer, and lies in memory as the frame does.

    Interleaved planes stay interleaved: one copy of the whole is quicker than three that pick every
    second or fourth byte, and whoever reads it goes the way that is known from the feed.

    Parameters
    ----------
    frame:
        Lent by a feed.

    Returns
    -------
    Frame
        The same with planes of its own.

    Examples
    --------
    >>> from overlays.signal.signal import Signal
    >>> words = np.arange(32 * 64, dtype=np.uint8).reshape(32, 64)
    >>> frame = Frame((words[:, 1::2], words[:, ::4], words[:, 2::4]), Signal())
    >>> copy = kept(frame)
    >>> words[:] = 0
    >>> copy.planes[0][0, :3].tolist(), copy.planes[1].strides
    ([1, 3, 5], (64, 4))
    """
    return Copier().copy(frame)


class Copier:
    """Copies frames into one piece of memory: each copy takes the place of the one before.

    Fresh memory for every copy costs several times what copying does.

    Examples
    --------
    >>> from overlays.signal.signal import Signal
    >>> words = np.full((2, 8), 16, np.uint8)
    >>> frame = Frame((words[:, 1::2], words[:, ::4], words[:, 2::4]), Signal())
    >>> copier = Copier()
    >>> first = copier.copy(frame)
    >>> words[:] = 235
    >>> second = copier.copy(frame)  # takes its place
    >>> int(first.planes[0][0, 0]), int(second.planes[0][0, 0])
    (235, 235)
    """

    def __init__(self) -> None:
        self._room = np.empty(0, np.uint8)

    def copy(self, frame: Frame) -> Frame:
        """As `kept`; good until the next is copied.

        Parameters
        ----------
        frame:
            Lent by a feed.

        Returns
        -------
        Frame
            The same, its planes in the copier's own memory.
        """
        bounds = [np.lib.array_utils.byte_bounds(plane) for plane in frame.planes]
        low, high = min(each[0] for each in bounds), max(each[1] for each in bounds)
        is_one = len({id(_owner(plane)) for plane in frame.planes}) == 1
        # What lies between planes of several buffers is not ours to read, nor need it be there.
        if not is_one or high - low > 2 * sum(plane.nbytes for plane in frame.planes):
            one, two, three = (plane.copy() for plane in frame.planes)
            return replace(frame, planes=(one, two, three))
        if self._room.size != high - low:
            self._room = np.empty(high - low, np.uint8)
        self._room[:] = np.ctypeslib.as_array((ctypes.c_uint8 * (high - low)).from_address(low))
        one, two, three = (self._as(plane, low) for plane in frame.planes)
        return replace(frame, planes=(one, two, three))

    def _as(self, plane: Plane, low: int) -> Plane:
        """The plane where it lies in the copy of the memory from `low` on."""
        at = int(plane.ctypes.data) - low
        lies: Plane = np.ndarray(plane.shape, plane.dtype, self._room.data, at, plane.strides)
        # To a loop, memory that may be written is another kind, which would have to be compiled.
        lies.flags.writeable = plane.flags.writeable
        return lies


def _owner(plane: Plane) -> object:
    """Whatever the memory of a plane belongs to."""
    while isinstance(plane.base, np.ndarray):
        plane = plane.base
    return plane if plane.base is None else plane.base
