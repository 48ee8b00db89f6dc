"""Compile every kernel for every layout a feed may bring, once, so that no start has to.

Run at installation, as the appliance's own user and with its NUMBA_CACHE_DIR, by
``python -m firmware.live.warm``: numba keeps what it compiles there, for this processor. Frames of
each layout go through the live loop itself, so that whatever it uses is compiled.
"""

import os
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from fractions import Fraction

import av
import numpy as np

from firmware.clock import Clock, SystemClock
from firmware.feeds.base import FeedInfo, FeedState, Pace
from firmware.feeds.opening import open_feed
from firmware.instruments.registry import REGISTRY
from firmware.live.loop import Loop
from firmware.live.orders import has_trace
from firmware.live.preload import load_kernels
from firmware.live.starting import starting_state
from firmware.opening.session import Session
from firmware.profiles.model import Profile
from firmware.profiles.shelf import shipped_profiles
from firmware.screen.drawing import Drawing
from firmware.screen.screen import Screen
from firmware.system.kernel_cache import bring_to_card, kernel_folders
from firmware.system.warmth import note_warm
from firmware.v4l2.formats import LAYOUTS
from firmware.v4l2.jpeg import JpegDecoder
from overlays.draw.layout.cube import Cube
from overlays.draw.layout.monitor import Monitor, ViewTransform
from overlays.draw.layout.views import TraceKind
from overlays.draw.picture.picture import PictureDrawer
from overlays.measure.counting.census import Wants, take_census
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.measure.spot.steady import SteadySpot
from overlays.signal.frame import Frame, planar
from overlays.signal.signal import Components, Signal, Subsampling

ROWS, COLUMNS = 180, 320
BENCHES = (
    "bench:size=960x540,noise=1",
    "bench:size=960x540,exposure=3,noise=1",
    "bench:size=960x540,exposure=4,noise=1,curve=V-Log,signal=yuv422-10",
)
"""As it should be; and at both depths so bright that lamp and card are cut off."""
BENCH_FRAMES = 12
"""More than a spot is read from before its frames are compared, were each one measured."""
SCREEN = (1280, 720)
OWN_TABLE = Monitor(
    transform=ViewTransform.CUBE,
    cube=Cube("none", (0.0,) * 3, (1.0,) * 3, np.zeros((2, 2, 2, 3), np.float32)),
)
CLASSES = "firmware.system.class_code"
LEAST_URGENT = 19
"""nice(1)"""


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
        for trace in TraceKind if has_trace(view) else (TraceKind.LUMA,):
            state = replace(starting_state(session, view), trace=trace)
            Loop(feed, state, screen, clock).run(1)
    yard = profile.yardstick(frame.signal, frame.shift)
    pixels = np.zeros((ROWS // 2, COLUMNS // 2), np.uint32)
    PictureDrawer().draw(frame, yard, (), pixels, OWN_TABLE)
    take_census(frame, yard, Wants.LEVELS | Wants.CHROMA | Wants.RGB | Wants.CLIPPING)


def use_bench(screen: Screen, clock: Clock, profile: Profile) -> None:
    """The bench has kernels of its own, and noise, lamps and time, which a grey frame lacks.

    Kernels for what is judged over frames or at a ceiling come in only where there is something to
    judge; compiled in the middle of a take they would hold up the picture.
    """
    for words in BENCHES:
        feed = open_feed(words, clock=clock, pace=Pace.LIVE)
        try:
            state = starting_state(Session(feed, profile, is_guess=False), REGISTRY.view(None))
            Loop(feed, state, screen, clock).run(BENCH_FRAMES)
        finally:
            feed.close()


def lamps() -> Frame:
    """From a codec: a noisy wall, and lamps that stand on one code as what may be a ceiling."""
    chance = np.random.default_rng(0)
    luma = 100.0 + 60.0 * np.linspace(0.0, 1.0, COLUMNS) + chance.normal(0.0, 3.0, (ROWS, COLUMNS))
    for left in (40, 140, 240):
        luma[60:120, left : left + 50] = 245.0  # above white, beneath what the link can carry
    data = np.full(2 * ROWS * COLUMNS, 128, np.uint8)
    data[: luma.size] = luma.round().reshape(-1)
    signal = Signal(bits=8, components=Components.YCBCR, subsampling=Subsampling.S422, lossy=True)
    return Frame(planar(data, ROWS, COLUMNS, Subsampling.S422, 1), signal)


def use_frames(frame: Frame, profile: Profile) -> None:
    """What frames tell of a spot; how many of a feed's are measured depends on how busy it is."""
    yard = profile.yardstick(frame.signal, frame.shift)
    steady, place = SteadySpot(yard), SpotPlace(COLUMNS // 4, ROWS // 5, 16)
    for _ in range(2 * BENCH_FRAMES):
        steady.add(read_spot(frame, yard, place))


def use_jpeg() -> None:
    """Sticks that compress have kernels of their own: for the walk through what they send."""
    context = av.CodecContext.create("mjpeg", "w")
    context.width, context.height, context.pix_fmt = COLUMNS, ROWS, "yuvj422p"
    context.time_base = Fraction(1, 25)
    picture = av.VideoFrame(COLUMNS, ROWS, "yuvj422p")
    data = b"".join(bytes(each) for each in [*context.encode(picture), *context.encode(None)])
    JpegDecoder().decode(np.frombuffer(data, np.uint8))


def main(words: Sequence[str] = ()) -> int:
    """Warm up everything; `--quietly` beside something that matters more."""
    if "--quietly" in words:
        os.nice(LEAST_URGENT)
    clock = SystemClock()
    screen = Screen(Drawing.UNSEEN, SCREEN)
    profiles = shipped_profiles()
    tried = 0
    try:
        load_kernels()
        for frame in every_frame():
            # Profiles differ in the values they hold, and only one has no view transform.
            for profile in profiles[:1] if tried else profiles:
                use(frame, profile, screen, clock)
            tried += 1
        use(lamps(), profiles[0], screen, clock)
        use_frames(lamps(), profiles[0])
        use_bench(screen, clock, profiles[0])
        use_jpeg()
    finally:
        screen.close()
    # In a process of its own, which has loaded nothing yet. Where none can be had, as under a bare
    # emulator, classes are kept by the first command that ends.
    with suppress(OSError):
        subprocess.run([sys.executable, "-m", CLASSES], check=False)
    bring_to_card(kernel_folders(os.environ))
    note_warm(os.environ)
    print(f"kernels are ready for {tried} layouts", file=sys.stdout)  # noqa: T201
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
