"""Compile every kernel for every layout a feed may bring, once, so that no start has to.

Run at installation, as the appliance's own user and with its NUMBA_CACHE_DIR, by
``python -m firmware.live.warm``: numba keeps what it compiles there, for this processor. Frames of
each layout go through the live loop itself, so that whatever it uses is compiled.
"""

import os
import sys
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

import av
import numpy as np

from firmware.clock import Clock, SystemClock
from firmware.feeds.base import FeedInfo, FeedState, Pace
from firmware.feeds.opening import open_feed
from firmware.instruments.registry import REGISTRY
from firmware.live.appliance import starting_state
from firmware.live.loop import Loop
from firmware.opening.session import Session
from firmware.profiles.model import Profile
from firmware.profiles.shelf import shipped_profiles
from firmware.screen.drawing import Drawing
from firmware.screen.screen import Screen
from firmware.system.kernel_cache import bring_to_card, kernel_folders
from firmware.v4l2.formats import LAYOUTS
from firmware.v4l2.jpeg import JpegDecoder
from overlays.draw.layout.views import TraceKind
from overlays.measure.counting.census import Wants, take_census
from overlays.signal.frame import Frame, planar
from overlays.signal.signal import Components, Signal, Subsampling

ROWS, COLUMNS = 180, 320
SCREEN = (1280, 720)


def every_frame() -> Iterator[Frame]:
    """A grey frame of each layout that capture devices and files bring."""
    for layout in LAYOUTS.values():
        if layout.view is None:
            continue
        stride = layout.least_stride(COLUMNS)
        data = np.full(round(stride * ROWS * layout.height), 0x60, np.uint8)
        signal = Signal(
            bits=layout.bits, components=layout.components, subsampling=layout.subsampling
        )
        planes = layout.view(data, ROWS, COLUMNS, stride)
        yield Frame(planes=planes, signal=signal, shift=layout.shift)
    for subsampling in (Subsampling.S420, Subsampling.S422):
        for bits in (8, 10):
            wide = 1 if bits == 8 else 2
            data = np.full(3 * ROWS * COLUMNS * wide, 1, np.uint8)
            signal = Signal(bits=bits, components=Components.YCBCR, subsampling=subsampling)
            yield Frame(planar(data, ROWS, COLUMNS, subsampling, wide), signal)


class OneFrame:
    """A feed that hands out one frame for ever."""

    def __init__(self, frame: Frame, clock: Clock) -> None:
        self._frame, self._clock = frame, clock
        self._number = 0
        rate = 25.0
        self.info = FeedInfo("warm", "one frame", frame.columns, frame.rows, frame.signal, rate)

    def read(self, timeout_s: float) -> Frame | FeedState:
        """The frame, a little later than asked for."""
        self._clock.sleep(min(timeout_s, 0.005))
        self._number += 1
        return replace(self._frame, number=self._number, time_ns=self._clock.now_ns())

    def release(self, frame: Frame) -> None:
        """Nothing was lent."""

    def close(self) -> None:
        """Nothing to let go of."""


def use(frame: Frame, profile: Profile, screen: Screen, clock: Clock) -> None:
    """Measure and draw a frame in every view, as the appliance does."""
    feed = OneFrame(frame, clock)
    session = Session(feed, profile, is_guess=False)
    for view in REGISTRY.views():
        for trace in TraceKind:
            state = replace(starting_state(session, view), trace=trace)
            Loop(feed, state, screen, clock).run(1)
    yard = profile.yardstick(frame.signal, frame.shift)
    take_census(frame, yard, Wants.LEVELS | Wants.CHROMA | Wants.RGB | Wants.CLIPPING)


def use_bench(screen: Screen, clock: Clock, profile: Profile) -> None:
    """The bench has kernels of its own."""
    feed = open_feed("bench", clock=clock, pace=Pace.LIVE)
    try:
        state = starting_state(Session(feed, profile, is_guess=False), REGISTRY.view(None))
        Loop(feed, state, screen, clock).run(1)
    finally:
        feed.close()


def use_jpeg() -> None:
    """Sticks that compress have kernels of their own: for the walk through what they send."""
    context = av.CodecContext.create("mjpeg", "w")
    context.width, context.height, context.pix_fmt = COLUMNS, ROWS, "yuvj422p"
    context.time_base = Fraction(1, 25)
    picture = av.VideoFrame(COLUMNS, ROWS, "yuvj422p")
    data = b"".join(bytes(each) for each in [*context.encode(picture), *context.encode(None)])
    JpegDecoder().decode(np.frombuffer(data, np.uint8))


def main() -> int:
    """Warm up everything."""
    clock = SystemClock()
    screen = Screen(Drawing.UNSEEN, SCREEN)
    profiles = shipped_profiles()
    tried = 0
    try:
        for frame in every_frame():
            # Profiles differ in the values they hold, and only one has no view transform.
            for profile in profiles[:1] if tried else profiles:
                use(frame, profile, screen, clock)
            tried += 1
        use_bench(screen, clock, profiles[0])
        use_jpeg()
    finally:
        screen.close()
    bring_to_card(kernel_folders(os.environ))
    print(f"kernels are ready for {tried} layouts", file=sys.stdout)  # noqa: T201
    return 0


if __name__ == "__main__":
    sys.exit(main())
