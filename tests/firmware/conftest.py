"""Fakes with the real contract, shared by the tests of the appliance."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.feeds.base import FeedInfo, FeedState
from overlays.signal.curves import Curve
from overlays.signal.frame import Frame
from overlays.signal.levels import Carriage, luma_scale
from overlays.signal.signal import Signal, Subsampling

TEN_BIT = Signal(bits=10, subsampling=Subsampling.S444)


def make_frame(  # noqa: PLR0917 - what a test wants to differ
    code: int = 400,
    signal: Signal = TEN_BIT,
    rows: int = 64,
    columns: int = 96,
    number: int = 0,
    time_ns: int = 0,
    notes: tuple[str, ...] = (),
) -> Frame:
    """A flat neutral frame of one luma code, with one code of dither in a fixed pattern."""
    dtype = np.uint8 if signal.bits == 8 else np.uint16
    luma = np.full((rows, columns), code, dtype=dtype)
    luma[::2, ::2] += 1 if code < luma_scale(signal).top else 0
    chroma = np.full((rows, columns), 1 << (signal.bits - 1), dtype=dtype)
    return Frame((luma, chroma, chroma), signal, number=number, time_ns=time_ns, notes=notes)


@dataclass
class ScriptedFeed:
    """A feed that answers what it was told to, and then ENDED; it moves the clock as it goes."""

    answers: list[Frame | FeedState]
    clock: HandClock
    info: FeedInfo
    step_s: float = 0.04
    lag_s: float = 0.0
    released: int = 0
    closed: int = 0

    def read(self, timeout_s: float) -> Frame | FeedState:
        if not self.answers:
            return FeedState.ENDED
        got = self.answers.pop(0)
        if isinstance(got, FeedState):
            self.clock.move(timeout_s)
            return got
        self.clock.move(self.step_s)
        return make_frame(
            int(got.planes[0][1, 1]),
            got.signal,
            got.rows,
            got.columns,
            got.number,
            self.clock.now_ns() - round(self.lag_s * 1e9),
            got.notes,
        )

    def release(self, frame: Frame) -> None:  # noqa: ARG002 - the contract's
        self.released += 1

    def close(self) -> None:
        self.closed += 1


def make_info(
    signal: Signal = TEN_BIT,
    curve: Curve | None = None,
    carriage: Carriage | None = None,
    warnings: tuple[str, ...] = (),
) -> FeedInfo:
    return FeedInfo("fake", "96x64", 96, 64, signal, 25.0, warnings, curve, carriage)


@pytest.fixture
def frame() -> Callable[..., Frame]:
    return make_frame


@pytest.fixture
def info() -> Callable[..., FeedInfo]:
    return make_info


@pytest.fixture
def scripted() -> Callable[..., ScriptedFeed]:
    def make(answers: Iterable[Frame | FeedState], info: FeedInfo | None = None) -> ScriptedFeed:
        return ScriptedFeed(list(answers), HandClock(), info or make_info())

    return make
