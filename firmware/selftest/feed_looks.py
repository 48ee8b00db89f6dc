"""What midgrey finds out by itself of a feed: codes, byte order, changes while somebody acts."""

from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np

from firmware.errors import FeedOptionError, FirmwareError
from firmware.feeds.base import Feed, FeedState, Pace
from firmware.feeds.opening import open_feed
from firmware.opening.one_frame import take_frame
from firmware.selftest.found import Figure, RowFound, RowOutcome, Seer, left_open, missing
from firmware.selftest.step import AtHand
from overlays.errors import OverlayError
from overlays.signal.frame import Frame
from overlays.signal.signal import Components

NO_FEED = "no capture device is there; plug one in, or name a feed with --feed"
PATIENCE_S = 5.0
"""How long a frame is waited for."""
_WAIT_S = 0.1
BLUE = 1.5
"""How many times the others' code a colour's has to be in a picture of that colour: of saturated
blue it is far more, of grey it is 1. Our own choice."""
_MOST_CHANGES = 40


@contextmanager
def opened(around: AtHand, spec: str) -> Iterator[Feed]:
    """A feed of a camera, closed afterwards.

    Raises
    ------
    FirmwareError
        It cannot be had, or is none of a camera: nothing it shows is of a board.
    """
    feed = open_feed(spec, clock=around.clock, pace=Pace.LIVE)
    try:
        if feed.info.is_simulated or not feed.info.is_live:
            raise FeedOptionError(
                f"{feed.info.name} is no camera; a self-test looks at what comes from one"
            )
        yield feed
    finally:
        feed.close()


def frame_of(around: AtHand, feed: Feed) -> Frame:
    """Its next frame; raises `FrameMissingError` where none comes."""
    return take_frame(feed, 0, around.clock, PATIENCE_S)


def look_at_codes(around: AtHand) -> RowFound:
    """Whether codes below black and above peak white arrive."""
    if around.feed is None:
        return missing(NO_FEED)
    try:
        with opened(around, around.feed) as feed:
            frame = frame_of(around, feed)
            signal, counts = frame.signal, _levels(frame)
            mode = feed.info.description
            feed.release(frame)
    except (FirmwareError, OverlayError, OSError) as fault:
        return missing(str(fault))
    if signal.components is not Components.YCBCR:
        return missing(f"{mode}: it delivers R'G'B', in which there are no such codes to look for")
    below, above = int(counts[1:16].sum()), int(counts[236:255].sum())
    figures = (
        Figure("mode", mode),
        Figure("pixels at codes 1 to 15", below),
        Figure("pixels at codes 236 to 254", above),
    )
    if below and above:
        return RowFound(RowOutcome.AS_EXPECTED, "codes of both kinds arrive", figures)
    which = "neither kind arrives" if not (below or above) else "only one kind arrives"
    return left_open(f"{which}: the bridge cuts them, or the source sends none", *figures)


def _levels(frame: Frame) -> np.ndarray:
    """How many pixels there are at each level, by codes of 8 bits."""
    down = frame.shift + frame.signal.bits - 8
    levels = (frame.planes[0] >> down).astype(np.int64).ravel()
    return np.bincount(levels, minlength=256)


def look_at_order(around: AtHand) -> RowFound:
    """Which of R, G and B is high."""
    if around.feed is None or not around.feed.startswith("v4l2:"):
        return missing(NO_FEED)
    spec = f"{around.feed.partition(',')[0]},format=RGB3"
    try:
        with opened(around, spec) as feed:
            frame = frame_of(around, feed)
            means = [round(float(plane.mean()), 1) for plane in frame.planes]
            feed.release(frame)
    except (FirmwareError, OverlayError, OSError) as fault:
        return missing(str(fault))
    red, green, blue = means
    figures = (Figure("R", red), Figure("G", green), Figure("B", blue))
    if blue > BLUE * max(red, green):
        return RowFound(RowOutcome.AS_EXPECTED, "B is high", figures)
    if red > BLUE * max(green, blue):
        return left_open("R is high: the order is wrong if the picture is blue", *figures)
    return left_open("no one colour is high; the picture has to be blue", *figures)


def look_at_changes(around: AtHand) -> RowFound:
    """Every change of a feed while somebody does something to it, with its time."""
    if around.feed is None:
        return missing(NO_FEED)
    try:
        with opened(around, around.feed) as feed:
            changes = tuple(_followed(around, feed))
    except (FirmwareError, OverlayError, OSError) as fault:
        return missing(str(fault))
    if not around.follow_s:
        return left_open("somebody has to do this and see what happens", *changes)
    return left_open(f"followed for {around.follow_s:g} s", *changes)


def _followed(around: AtHand, feed: Feed) -> Iterator[Figure]:
    began_ns, said, told = around.clock.now_ns(), "", 0
    around.say(f"  (following {feed.info.name} for {around.follow_s:g} s: do it now)")
    while told < _MOST_CHANGES:
        got = feed.read(_WAIT_S)
        is_frame = isinstance(got, Frame)
        if isinstance(got, Frame):
            feed.release(got)
        after_s = (around.clock.now_ns() - began_ns) / 1e9
        state = f"pictures, {feed.info.description}" if is_frame else _state(got)
        # One turn without a picture is no change.
        if state and state != said:
            said, told = state, told + 1
            yield Figure(f"after {after_s:.2f} s", state)
        is_over = after_s >= around.follow_s and (said or after_s >= PATIENCE_S)
        if is_over or (got is FeedState.GONE and not around.follow_s):
            return


def _state(got: object) -> str:
    is_waiting = got is FeedState.NO_FRAME_YET or not isinstance(got, FeedState)
    return "" if is_waiting else str(got.value)  # type: ignore[attr-defined]


def look_at_camera(around: AtHand) -> RowFound:
    """Whether the camera at the connector gives pictures, both ways."""
    figures = []
    for spec in ("camera", "camera:raw"):
        try:
            with opened(around, spec) as feed:
                feed.release(frame_of(around, feed))
                figures.append(Figure(spec, feed.info.description))
        except (FirmwareError, OverlayError, OSError) as fault:
            if not figures:
                return missing(str(fault))
            words = f"the camera gives pictures, but not {spec}: {fault}"
            return RowFound(RowOutcome.OTHERWISE, words, tuple(figures))
    words = (
        "it gives pictures both ways; whether grey steps read one stop apart has to be looked at"
    )
    return RowFound(RowOutcome.OPEN, words, tuple(figures), Seer.NOBODY)
