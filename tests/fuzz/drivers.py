"""A driver that answers nonsense: sizes, strides, indices, timings, stamps and errors at random.

    python -m tests.fuzz.drivers [--answers 5000] [--seed 1]

The fake capture board answers as a kernel does, and then any answer may be changed: a field at
random or at an edge of its range, or an error in its place. A round opens the feed, reads, holds
frames, gives them back and closes. Nothing may be raised once the feed is open, nothing may hang,
no descriptor may be left, no lent frame may change, and memory has a bound.
"""

import argparse
import ctypes
import errno
import os
import resource
import time
from collections import Counter
from dataclasses import dataclass, field
from random import Random
from typing import TypeAlias

from firmware.clock import HandClock
from firmware.errors import FirmwareError
from firmware.feeds.base import FeedState
from firmware.feeds.v4l2 import V4l2Feed
from firmware.v4l2 import ioctls
from firmware.v4l2.device import Capture
from firmware.v4l2.fake import FakeBoard
from firmware.v4l2.fake_timings import KNOWN
from overlays.signal.frame import Frame

ERRORS = (
    *(errno.EPROTO, errno.ENOMEM, errno.EREMOTEIO, errno.ENOSPC, errno.EBUSY, errno.EIO),
    *(errno.ENODEV, errno.ENXIO, errno.EINVAL, errno.ENOTTY, errno.EPIPE, errno.EAGAIN),
    *(errno.EPERM, errno.ETIMEDOUT, errno.ERANGE, errno.ENOLINK, errno.ENOLCK, errno.EFAULT),
)
EDGES = (0, 1, 2, 15, 16, 4095, 4096, 65535, 65536, 2**31 - 1, 2**31, 2**32 - 1)
MOST_S = 20.0
MOST_BYTES = 1 << 30
READS = 12


def _numbers(answer, path=()):
    """(holder, name, bits) of every number in a structure, however deep."""
    for name, kind, *_ in getattr(answer, "_fields_", ()):
        if isinstance(getattr(answer, name), int):
            yield answer, name, 8 * ctypes.sizeof(kind)
        elif isinstance(getattr(answer, name), ctypes.Structure | ctypes.Union):
            yield from _numbers(getattr(answer, name), (*path, name))


@dataclass
class NonsenseBoard(FakeBoard):
    """A board whose answers are changed with a chance.

    Attributes
    ----------
    dice:
        Where the chance comes from.
    chance:
        Of an answer to be changed.
    changed:
        How many answers were, by what was done to them.
    """

    dice: Random = field(default_factory=Random)
    chance: float = 0.05
    changed: Counter[str] = field(default_factory=Counter)

    def ioctl(self, fd, request, argument):
        """Answer, perhaps with nonsense."""
        dice = self.dice
        if dice.random() >= self.chance:
            return super().ioctl(fd, request, argument)
        if dice.random() < 0.4:
            self.changed["error"] += 1
            number = dice.choice(ERRORS)
            raise OSError(number, os.strerror(number))
        super().ioctl(fd, request, argument)
        named = argument.index if request == ioctls.DQBUF else None
        numbers = list(_numbers(argument))
        if not numbers:
            return None
        for holder, name, bits in dice.sample(
            numbers, min(len(numbers), dice.choice((1, 1, 2, 4)))
        ):
            value = dice.choice(EDGES) if dice.random() < 0.6 else dice.getrandbits(bits)
            setattr(holder, name, value & ((1 << bits) - 1))
        if named is not None and self._buffers.holds(argument.index):
            # A driver that goes on writing into a buffer which it says it has given away cannot be
            # found out by anybody.
            argument.index = named
        self.changed["numbers"] += 1
        return None

    def _set_timings(self, fd, answer):
        # The board's own memory must not follow what it made up itself.
        if (answer.u.bt.width, answer.u.bt.height) not in {(c, r) for c, r, *_ in KNOWN.values()}:
            raise OSError(errno.EINVAL, "Invalid argument")
        super()._set_timings(fd, answer)

    def _set_format(self, fd, answer):
        if answer.fmt.pix.width * answer.fmt.pix.height > 1920 * 1200:
            raise OSError(errno.EINVAL, "Invalid argument")
        super()._set_format(fd, answer)

    def _request_buffers(self, fd, answer):
        answer.count = min(answer.count, 8)
        super()._request_buffers(fd, answer)

    def mmap(self, fd, length, offset):
        """Memory of whatever length was named: the answer to QUERYBUF may have been changed."""
        if fd not in self._fds or offset >= len(self.maps):
            raise OSError(errno.EINVAL, "Invalid argument")
        return self.maps[offset] if length == len(self.maps[offset]) else bytearray(length)

    def close(self, fd):
        """Close, and now and then say that it could not be."""
        super().close(fd)
        if self.dice.random() < self.chance:
            raise OSError(errno.EIO, "Input/output error")


@dataclass
class Outcome:
    """What came of a run."""

    rounds: int = 0
    answers: int = 0
    frames: int = 0
    refused: int = 0
    longest_s: float = 0.0
    states: Counter[str] = field(default_factory=Counter)
    changed: Counter[str] = field(default_factory=Counter)


def _board(dice: Random) -> NonsenseBoard:
    stick = dice.random() < 0.5
    name = dice.choice(("UYVY", "YUYV", "NV12", "YU12", "RGB3", "P010"))
    return NonsenseBoard(
        HandClock(start_ns=10**9),
        driver=dice.choice(("uvcvideo", "unicam", "rp1-cfe", "other")),
        formats=(name, "MJPG") if dice.random() < 0.3 else (name,),
        link=errno.ENOTTY if stick else 0,
        cable=dice.choice(sorted(KNOWN)),
        rates={(name, 320, 180): 60.0} if stick else {},
        dice=dice,
        chance=0.0,
    )


Held: TypeAlias = list[tuple[Frame, list[int]]]


def _read(feed: V4l2Feed, board: NonsenseBoard, outcome: Outcome, held: Held) -> None:
    """One read, with something shown before it; frames are held for a while."""
    dice = board.dice
    for _ in range(dice.randrange(3)):
        size = min(board.picture_size(), 8 << 20)
        flags = ioctls.FLAG_TIME_MONOTONIC | dice.choice((0, 0, 0, ioctls.FLAG_ERROR))
        board.show(bytes([dice.randrange(256)]) * size, flags)
    if dice.random() < 0.05:
        board.change(link=0 if dice.random() < 0.7 else errno.ENOLINK)
    got = feed.read(dice.choice((0.0, 0.1, 0.5)))
    if isinstance(got, Frame):
        outcome.frames += 1
        held.append((got, [int(plane[0, 0]) for plane in got.planes]))
    else:
        assert isinstance(got, FeedState)
        outcome.states[got.name] += 1
    while held and (len(held) > 3 or dice.random() < 0.5):
        frame, first = held.pop(0)
        assert [int(plane[0, 0]) for plane in frame.planes] == first, "a lent frame was written"
        feed.release(frame)


def one_round(seed: int, outcome: Outcome) -> None:
    """One feed, from its opening to its closing."""
    dice = Random(seed)
    board = _board(dice)
    if dice.random() < 0.3:
        board.chance = 0.05
    start = time.monotonic()
    held: Held = []
    try:
        feed = V4l2Feed(Capture(board.path), board.clock, None, board)
    except FirmwareError:
        outcome.refused += 1
    else:
        board.chance = dice.choice((0.02, 0.1, 0.3))
        for _ in range(READS):
            _read(feed, board, outcome, held)
        feed.close()
        for frame, _ in held:
            feed.release(frame)
    assert board.open_count == 0, "a descriptor was left open"
    outcome.rounds += 1
    outcome.answers += len(board.requests)
    outcome.changed += board.changed
    outcome.longest_s = max(outcome.longest_s, time.monotonic() - start)
    assert outcome.longest_s < MOST_S, f"seed {seed} took {outcome.longest_s:.1f} s"


def fuzz(changed: int, seed: int) -> Outcome:
    """Rounds until so many answers were changed."""
    outcome, before = Outcome(), _most_resident()
    while sum(outcome.changed.values()) < changed:
        number = seed * 1_000_003 + outcome.rounds
        try:
            one_round(number, outcome)
        except BaseException as fault:
            raise AssertionError(f"round {number} ended in {fault!r}") from fault
    # In a suite the process may have been larger before.
    most = _most_resident()
    assert most < MOST_BYTES or most == before, f"{most / 1e9:.1f} GB"
    return outcome


def _most_resident() -> int:
    """Bytes that this process has held at the most."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024


def main() -> None:
    """Run and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--answers", type=int, default=5000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    start = time.monotonic()
    outcome = fuzz(asked.answers, asked.seed)
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{sum(outcome.changed.values())} answers changed ({dict(outcome.changed)}) of", end=" ")
    print(f"{outcome.answers} in {outcome.rounds} rounds, {time.monotonic() - start:.0f} s")
    print(f"{outcome.frames} frames, {dict(outcome.states)}, {outcome.refused} refused to open")
    print(f"longest round {outcome.longest_s:.2f} s, most memory {most:.0f} MB")


if __name__ == "__main__":
    main()
