"""Which pictures of a stream rest on nothing that was damaged or lost on the way.

Most pictures of a stream say only what is different from those before. One that was damaged shows
in all that follow, until one comes that stands for itself: none of them is measured, although the
decoder calls them whole.
"""

from collections import deque
from dataclasses import dataclass


@dataclass(slots=True)
class Whole:
    """Follows packets into a decoder and pictures out of it; begins by trusting none."""

    _is_spoilt: bool = True
    _has_key: bool = False
    _key_stamp: int | None = None

    def packet(self, stamp: int | None, *, is_key: bool, is_corrupt: bool) -> None:
        """A packet goes in.

        Parameters
        ----------
        stamp:
            When its picture is shown, in the stream's own count; None where it does not say.
        is_key, is_corrupt:
            Whether its picture stands for itself; whether something of it was lost.
        """
        if is_corrupt:
            self.spoilt()
        elif is_key and self._is_spoilt and not self._has_key:
            self._has_key, self._key_stamp = True, stamp

    def spoilt(self) -> None:
        """The decoder could not make anything of what went in."""
        self._is_spoilt, self._has_key, self._key_stamp = True, False, None

    def takes(self, stamp: int | None, *, is_key: bool, is_corrupt: bool) -> bool:
        """Whether a picture that comes out rests on nothing damaged.

        A decoder hands pictures out later than their packets went in: of those before the damage
        one may stand for itself too, so only the one that went in since then counts.
        """
        if is_corrupt:
            self.spoilt()
            return False
        if self._is_spoilt and self._has_key and is_key:
            before = stamp is not None and self._key_stamp is not None and stamp < self._key_stamp
            self._is_spoilt = before
        return not self._is_spoilt


EVEN = 0.2
"""Share of the usual step by which one may differ and still count as one; as for footage."""
_LOOKED_BACK, _EVEN_OF_THEM = 8, 6
"""Steps that tell what is usual, and how many of them must be that."""
_MISSING = 1.5
"""So many usual steps hold a picture that did not come."""


class Gaps:
    """Knows by the stamps of a stream whose pictures come evenly that one of them never came.

    Where a picture fits one packet nothing else tells: those that lean on it come whole. Of a
    stream whose steps are not even nothing can be told.
    """

    def __init__(self) -> None:
        self._steps: deque[int] = deque(maxlen=_LOOKED_BACK)
        self._last_ns: int | None = None

    def is_after_one(self, stamp_ns: int | None) -> bool:
        """Whether a picture is missing before the one of this stamp, in nanoseconds."""
        last_ns, self._last_ns = self._last_ns, stamp_ns
        if last_ns is None or stamp_ns is None:
            return False
        step = stamp_ns - last_ns
        usual = sorted(self._steps)[len(self._steps) // 2] if self._steps else 0
        even = sum(abs(each - usual) <= EVEN * usual for each in self._steps)
        self._steps.append(step)
        is_sure = len(self._steps) == _LOOKED_BACK and even >= _EVEN_OF_THEM and usual > 0
        return is_sure and step > _MISSING * usual
