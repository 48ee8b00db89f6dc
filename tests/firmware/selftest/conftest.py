"""A feed whose pictures and states are given, as a look opens it."""

from collections.abc import Callable

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.errors import FeedNotFoundError
from firmware.feeds.base import FeedInfo, FeedState
from firmware.selftest import feed_looks
from firmware.selftest.step import AtHand
from overlays.signal.frame import Frame
from overlays.signal.signal import Components, Signal, Subsampling


class GivenFeed:
    """Hands out what it is given, a tenth of a second each, and its last for ever."""

    def __init__(self, given, clock, info):
        self._given, self._clock, self.info, self.closed = list(given), clock, info, False

    def read(self, timeout_s):
        self._clock.move(min(timeout_s, 0.1))
        return self._given.pop(0) if len(self._given) > 1 else self._given[0]

    def release(self, frame):
        pass

    def close(self):
        self.closed = True


def frame(*planes: np.ndarray, bits: int = 8, rgb: bool = False) -> Frame:
    """A frame of these planes."""
    kind = Components.RGB if rgb else Components.YCBCR
    signal = Signal(bits=bits, components=kind, subsampling=Subsampling.S444)
    return Frame(tuple(planes), signal, 0, 0, 0)


@pytest.fixture
def around() -> AtHand:
    """A device, and somebody who is there for two seconds."""
    return AtHand("v4l2:/dev/video0", HandClock(), follow_s=2.0)


@pytest.fixture
def feeding(monkeypatch, around) -> Callable[..., list[str]]:
    """Open feeds that hand out what is given; the specs that were opened are the answer."""

    def give(*given, simulated=False, only=None, rate=25.0):
        specs: list[str] = []
        info = FeedInfo("given", "a mode", 8, 6, Signal(), rate, is_simulated=simulated)

        def open_feed(spec, **_kind):
            if only is not None and spec != only:
                raise FeedNotFoundError(f"{spec} is not there")
            specs.append(spec)
            return GivenFeed(given or [FeedState.NO_SIGNAL], around.clock, info)

        monkeypatch.setattr(feed_looks, "open_feed", open_feed)
        return specs

    return give
