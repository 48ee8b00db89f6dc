"""The live path for a long time: everything that happens to a cable, frames of every kind, presses.

The fake capture board in real time: a thread is its driver and fills buffers as one does. Every
second something happens to cable or device. Each frame carries its number at the start of every
row, and is looked at when it is handed out and when it comes back: a lent buffer that was written
shows.
"""

import contextlib
import errno
import json
import os
import random
import sys
import threading
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from firmware.actions import PlaceSpot, Press
from firmware.clock import SystemClock
from firmware.errors import ThreadStuckError
from firmware.feeds.v4l2 import V4l2Feed
from firmware.health.stats import resident_bytes
from firmware.live.hooks import Hooks
from firmware.live.loop import Loop
from firmware.live.oversight import Oversight, overseen
from firmware.live.starting import starting_state
from firmware.opening.session import Session
from firmware.profiles.shelf import load_profile
from firmware.screen.drawing import Drawing
from firmware.screen.screen import Screen
from firmware.system.compiling import Compiling, listen
from firmware.system.systemd import Notifier
from firmware.v4l2 import ioctls
from firmware.v4l2.device import Capture
from firmware.v4l2.fake import FakeBoard
from overlays.signal.frame import Frame
from tests import views

RATE = 25.0
EVERY_S = 60.0
"""From one line on the way to the next."""
COLD_S = 240.0
"""Longest that the first picture is waited for."""
LOST_S = 0.3
"""How long a cable or a device is away."""
CABLES = ("576p50", "720p60")
NOT_PRESSED = frozenset({Press.QUIT, Press.SCREENSHOT, Press.KEEP_CLIP})
PRESSES = tuple(press for press in Press if press not in NOT_PRESSED)
MARKED = 4
"""Luma samples of each row that carry the number of a frame."""


class RealBoard(FakeBoard):
    """The fake board with a clock that goes by itself, used by several threads."""

    def __init__(self, clock: SystemClock, **how) -> None:
        super().__init__(clock, **how)
        self.lock, self.news = threading.RLock(), threading.Event()
        self.errors: list[int] = []

    def ioctl(self, fd, request, argument):
        """Answer one request at a time; DQBUF now and then with an error that waits for it."""
        with self.lock:
            if request == ioctls.DQBUF and self.errors:
                number = self.errors.pop()
                raise OSError(number, os.strerror(number))
            super().ioctl(fd, request, argument)

    def select(self, readable, exceptional, timeout_s):
        """Wait for real."""
        end = time.monotonic() + timeout_s
        while True:
            with self.lock:
                filled = self._buffers.has_filled or not self.present
                told = self._events or not self.present
            ready, events = list(readable) if filled else [], list(exceptional) if told else []
            left = end - time.monotonic()
            if ready or events or left <= 0.0:
                return ready, events
            self.news.wait(min(left, 0.02))
            self.news.clear()


def marks(number: int) -> np.ndarray:
    """What a frame carries at the start of every row."""
    return np.array([(number >> (8 * place)) & 0xFF for place in range(MARKED)], np.uint8)


@dataclass
class Driver:
    """The thread that fills buffers, and what it does to cable and device every second."""

    board: RealBoard
    dice: random.Random
    did: Counter = field(default_factory=Counter)
    number: int = 0
    until: float = 0.0
    over: threading.Event = field(default_factory=threading.Event)

    def run(self) -> None:
        """Until it is over."""
        second = well = time.monotonic() + 1.0
        while not self.over.wait(1.0 / RATE):
            if time.monotonic() >= second:
                second = time.monotonic() + 1.0
                well = second - 1.0 + LOST_S
                self.happen()
            elif time.monotonic() >= well:
                well = second
                self.mend()
            with self.board.lock:
                self.fill()
            self.board.news.set()

    def happen(self) -> None:
        """Something of what happens on a set."""
        board = self.board
        with board.lock:
            what = self.dice.choice(
                ("timings", "lost", "no sync", "unplugged", "pulled", "silent", "error", "nothing")
            )
            self.did[what] += 1
            if what == "timings":
                board.change(cable=self.dice.choice(CABLES))
            elif what == "lost":
                board.change(link=errno.ENOLINK, power=1)
            elif what == "unplugged":
                board.change(link=errno.ENOLINK, power=0)
            elif what == "no sync":
                board.change(link=errno.ENOLCK)
            elif what == "pulled":
                board.pull()
            elif what == "silent":
                self.until = time.monotonic() + 0.9
            elif what == "error":
                choices = (errno.EPROTO, errno.ENOMEM, errno.EREMOTEIO, errno.EIO, errno.EBUSY)
                board.errors.append(self.dice.choice(choices))

    def mend(self) -> None:
        """What was lost is there again."""
        with self.board.lock:
            if not self.board.present:
                self.board.bring_back()
            if self.board.link:
                self.board.change(link=0, power=1)

    def fill(self) -> None:
        """The next frame: most are whole; some damaged, short, or never there at all."""
        board, dice = self.board, self.dice
        still = time.monotonic() < self.until
        if board.link or not board.present or not board.streaming or still:
            return
        kind = dice.choice(("whole",) * 16 + ("damaged", "short", "gap"))
        self.did[kind] += 1
        self.number += 1
        size, stride = board.picture_size(), int(board._pix.bytesperline)
        data = np.full(size, (40 + self.number % 170), np.uint8)
        data.reshape(-1, stride)[:, 1 : 2 * MARKED : 2] = marks(self.number)
        flags = ioctls.FLAG_TIME_MONOTONIC | (ioctls.FLAG_ERROR if kind == "damaged" else 0)
        used = size // 2 if kind == "short" else size
        ahead = board._buffers._sequence + (3 if kind == "gap" else 0)
        board.show(data.tobytes(), flags, ahead, used)


class CheckedFeed:
    """A feed whose frames are looked at when they come and when they are given back."""

    def __init__(self, feed: V4l2Feed) -> None:
        self.feed, self.lock = feed, threading.Lock()
        self.lent: dict[int, np.ndarray] = {}
        self.looked = self.written = 0

    @property
    def info(self):
        """Of the feed."""
        return self.feed.info

    @property
    def counts(self):
        """Of the feed."""
        return self.feed.counts

    def read(self, timeout_s):
        """The next frame, its marks noted."""
        got = self.feed.read(timeout_s)
        if isinstance(got, Frame):
            with self.lock:
                self.lent[got.number] = got.planes[0][0, :MARKED].copy()
            self._look(got)
        return got

    def _look(self, frame: Frame) -> None:
        with self.lock:
            noted = self.lent.get(frame.number)
        if noted is not None:
            self.looked += 1
            self.written += int((frame.planes[0][:, :MARKED] != noted).any())

    def release(self, frame):
        """Give it back, its marks as they were."""
        self._look(frame)
        with self.lock:
            self.lent.pop(frame.number, None)
        self.feed.release(frame)

    def close(self):
        """Close the feed."""
        self.feed.close()


class Fingers:
    """A screen that is pressed about three times a second."""

    def __init__(self, screen: Screen, dice: random.Random) -> None:
        self.screen, self.dice = screen, dice
        self.pressed, self.quits, self.is_held, self.next_s = 0, False, False, 0.0

    def actions(self):
        """What a hand does."""
        if self.quits:
            return [Press.QUIT]
        now = time.monotonic()
        if now < self.next_s:
            return []
        self.next_s, self.pressed = now + self.dice.uniform(0.1, 0.6), self.pressed + 1
        if self.is_held:
            self.is_held = False
            return [Press.HOLD]
        place = PlaceSpot(self.dice.randrange(640), self.dice.randrange(480))
        press = place if self.dice.random() < 0.2 else self.dice.choice(PRESSES)
        self.is_held = press is Press.HOLD
        return [press]

    def paint(self, shown):
        """On the screen."""
        self.screen.paint(shown)

    def flip(self):
        """Seen."""
        self.screen.flip()


def burden() -> dict[str, float]:
    """Threads, descriptors and resident megabytes of this process."""
    return {
        "threads": threading.active_count(),
        "descriptors": sum(1 for _ in Path("/proc/self/fd").iterdir()),
        "memory_mb": round((resident_bytes() or 0) / 1e6, 1),
    }


def live_soak(seconds: float, seed: int = 1, warm_s: float = 30.0) -> dict[str, object]:
    """Run for so long; what was done, counted and used at its start and its end.

    The start is `warm_s` after the first frame, or a quarter of the run where that is shorter:
    by then kernels are loaded and buffers made.
    """
    dice, clock, faces = random.Random(seed), SystemClock(), Counter()
    board = RealBoard(clock, formats=("UYVY",), cable=CABLES[0])
    feed = CheckedFeed(V4l2Feed(Capture(board.path), clock, None, board))
    driver = Driver(board, random.Random(seed + 1))
    screen = Screen(Drawing.UNSEEN, (480, 320))
    hand = Fingers(screen, dice)
    compiling = Compiling()
    end_listening = listen(compiling)
    state = starting_state(Session(feed, load_profile("standard"), is_guess=False), views.EXPOSE)
    hooks = Hooks(made=lambda: compiling.moved)
    oversight = Oversight(hooks.stages, Notifier({}, clock), compiling, clock, lambda _said: None)
    hooks.turn = lambda seen: (setattr(oversight, "seen", seen), faces.update([seen.face.name]))
    loop = Loop(feed, state, hand, clock, hooks=hooks)
    thread = threading.Thread(target=driver.run, name="driver", daemon=True)
    used: list[dict[str, float]] = []
    said: dict[str, str] = {}

    def watch() -> None:
        end = time.monotonic() + COLD_S
        while "LIVE" not in faces and time.monotonic() < end:
            time.sleep(0.1)  # kernels may have to be compiled first
        time.sleep(min(warm_s, seconds / 4))
        used.append(burden())
        end = time.monotonic() + max(seconds - min(warm_s, seconds / 4), 0.0)
        while (left := end - time.monotonic()) > 0.0:
            time.sleep(min(left, EVERY_S))
            if left > EVERY_S:
                now = {**burden(), "looked_at": feed.looked, "written": feed.written}
                print(json.dumps({"left_s": round(left), **now}), file=sys.stderr, flush=True)
        used.append(burden())
        hand.quits = True

    timer = threading.Thread(target=watch, name="timer", daemon=True)
    try:
        thread.start()
        timer.start()
        with overseen(oversight):
            loop.run()
    except ThreadStuckError as stuck:
        # On a machine that gives it no time, one measurement may outlive the deadline.
        said["stuck"] = str(stuck)
    finally:
        driver.over.set()
        thread.join(5.0)
        with contextlib.suppress(OSError):
            feed.close()
        screen.close()
        end_listening()
    return {
        "seconds": seconds,
        "did": dict(driver.did),
        "pressed": hand.pressed,
        "faces": dict(faces),
        "frames": {"in": loop.stats.frames_in, "shown": loop.stats.frames_shown},
        "counts": {name: getattr(feed.counts, name) for name in feed.counts.__dataclass_fields__},
        "looked_at": feed.looked,
        "written_while_lent": feed.written,
        "still_lent": len(feed.lent),
        "left_open": board.open_count,
        "start": used[0],
        "end": used[1],
        "after": burden(),
        **said,
    }
