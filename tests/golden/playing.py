"""Plays a moment on the screen, and a command, within this process and without threads."""

import hashlib
import os
from dataclasses import replace
from importlib.metadata import version
from typing import Any

os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")

import numpy as np
import numpy.typing as npt
import pygame
from typer.testing import CliRunner

from firmware.actions import PlaceSpot, Press
from firmware.clock import HandClock
from firmware.commands.build import application
from firmware.feeds.base import FeedState, Pace
from firmware.instruments.registry import REGISTRY
from firmware.live.locking import Locking
from firmware.live.loop import Loop
from firmware.live.starting import starting_state
from firmware.opening.overrides import Overrides
from firmware.opening.session import open_session
from firmware.presets.model import Lock
from firmware.rail.pages import At, Leaf
from firmware.system.threads import Newest
from overlays.draw.painter import Painter
from tests.golden.cases import CHIPS, Moment


class Sheet:
    """A screen in memory."""

    def __init__(self, size):
        self.surface = pygame.Surface(size, 0, 32, (0xFF0000, 0xFF00, 0xFF, 0))
        self.painter = Painter(self.surface)
        self.presses = []

    def actions(self):
        given, self.presses = self.presses, []
        return given

    def paint(self, shown):
        self.painter.paint(shown)

    def flip(self):
        pass


class Timed:
    """A feed whose frames arrive a millisecond after their stamp, on a clock moved by hand."""

    def __init__(self, feed, clock):
        self.feed, self.clock, self.silent = feed, clock, False

    @property
    def info(self):
        return self.feed.info

    def read(self, timeout_s):
        if self.silent:
            return FeedState.NO_FRAME_YET
        got = self.feed.read(timeout_s)
        self.clock.move((got.time_ns - self.clock.now_ns()) / 1e9 + 1e-3)
        return got

    def release(self, frame):
        self.feed.release(frame)

    def close(self):
        self.feed.close()


class AtOnce(Newest[Any]):
    """A hand-over within one thread: what is not there will not come, however long one waits."""

    def take(self, timeout_s):  # noqa: ARG002 - of the hand-over it stands in for
        return super().take(0.0)


def turned_by_hand(loop: Loop) -> Loop:
    """A loop whose threads never start."""
    loop._frames, loop._ready = AtOnce(), AtOnce()
    return loop


def play(moment: Moment) -> npt.NDArray[np.uint8]:
    """(rows, columns, 3) of the screen at that moment."""
    clock = HandClock(start_ns=10**9, wall_start_s=1_700_000_000.0)
    session = open_session(
        moment.feed, moment.profile, Overrides(), clock=HandClock(10**9), pace=Pace.STEP
    )
    feed = Timed(session.feed, clock)
    sheet = Sheet(moment.size)
    state = starting_state(session, REGISTRY.view(moment.view))
    loop = turned_by_hand(Loop(feed, state, sheet, clock))

    def show(frames):
        for _ in range(frames):
            loop._take_frame()
            loop._measure_frame()
            loop.turn()

    if moment.pins:
        for column, row in CHIPS:
            sheet.presses += [PlaceSpot(column, row), Press.SET_PIN]
        sheet.presses.append(PlaceSpot(*CHIPS[1]))
    loop.turn()
    show(2)
    if moment.locked:
        loop.state = replace(loop.state, locking=Locking(Lock(), loop.state.view))
    if moment.leaf:
        loop.state = replace(loop.state, rail=At(Leaf[moment.leaf]))
    sheet.presses += [Press[name] for name in moment.presses]
    loop.turn()
    show(moment.frames)
    if moment.silent_s:
        clock.move(moment.silent_s)
        loop.turn()
    if moment.stalled:
        getattr(loop.stages, moment.stalled).beat(clock.now_ns())
        clock.move(0.6)
        if moment.stalled == "lamp":
            show(1)
        loop.turn()
    feed.close()
    return pixels_of(sheet.surface)


def pixels_of(surface: pygame.Surface) -> npt.NDArray[np.uint8]:
    """(rows, columns, 3), side by side in memory: a third of what surfarray and a turn take."""
    columns, rows = surface.get_size()
    told = np.frombuffer(pygame.image.tobytes(surface, "RGB"), np.uint8)
    return told.reshape(rows, columns, 3)


def answer(words: list[str]) -> str:
    """What a command prints with --json."""
    typed = [*words, "--json"]
    done = CliRunner().invoke(application(words=typed), typed)  # as the command itself is built
    assert done.exit_code == 0, done.output
    return done.stdout


def digest(pixels: npt.NDArray[np.uint8]) -> str:
    """The hash of a screen."""
    return hashlib.sha256(pixels.tobytes()).hexdigest()


def means(pixels: npt.NDArray[np.uint8]) -> npt.NDArray[np.uint8]:
    """(rows / 8, columns / 8, 3): the screen averaged over squares of eight pixels."""
    rows, columns = pixels.shape[0] // 8, pixels.shape[1] // 8
    squares = pixels[: 8 * rows, : 8 * columns].reshape(rows, 8, columns, 8, 3)
    averaged: npt.NDArray[np.uint8] = np.rint(squares.mean(axis=(1, 3))).astype(np.uint8)
    return averaged


def libraries() -> dict[str, str]:
    """Releases that decide how a screen comes out, to the pixel."""
    return {name: version(name) for name in ("pygame", "numpy", "numba", "llvmlite")}
