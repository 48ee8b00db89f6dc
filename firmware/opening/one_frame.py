"""Taking one frame by its number from a feed that hands out every frame in order."""

from collections.abc import Callable

from firmware.clock import Clock
from firmware.errors import FrameMissingError
from firmware.feeds.base import Feed, FeedState
from overlays.signal.frame import Frame

PATIENCE_S = 10.0
"""How long a feed may be silent before it is given up."""
_WAIT_S = 1.0
MOST_ENDLESS = 10_000
"""Frames of a feed without an end that are waited for: six minutes at 25 a second."""


def take_frame(
    feed: Feed,
    number: int,
    clock: Clock,
    patience_s: float = PATIENCE_S,
    passed: Callable[[Frame, int], None] = lambda _frame, _left: None,
) -> Frame:
    """The frame of a number, counted from 0; the caller releases it.

    `passed` is told every frame before it, and how many frames on it will be.

    Raises
    ------
    FrameMissingError
        The feed ends before, goes away, or stays silent for `patience_s` seconds; or it has no
        end, and the frame would come in the distant future.
    """
    if (feed.info.is_live or feed.info.is_endless) and number > MOST_ENDLESS:
        raise FrameMissingError(
            f"{feed.info.name} has no end, and frame {number} would take too long to come: give "
            f"--frame at most {MOST_ENDLESS}, or follow it with watch"
        )
    seen = 0
    heard_ns = clock.now_ns()
    while True:
        got = feed.read(_WAIT_S)
        if isinstance(got, Frame):
            if seen == number:
                return got
            try:
                passed(got, number - seen)
            finally:
                feed.release(got)
            seen += 1
            heard_ns = clock.now_ns()
        elif got in {FeedState.ENDED, FeedState.GONE}:
            raise FrameMissingError(_ended(feed.info.name, number, seen))
        elif clock.now_ns() - heard_ns > patience_s * 1e9:
            raise FrameMissingError(
                f"{feed.info.name}: no frame within {patience_s:g} s ({got.value}); check the "
                "source and the cable"
            )


def _ended(name: str, number: int, seen: int) -> str:
    if seen == 0:
        return f"{name} holds no frame at all; is the file whole?"
    frames = "frame, number 0" if seen == 1 else f"frames, numbers 0 to {seen - 1}"
    return f"{name} has no frame {number}: it holds {seen} {frames}; give --frame one of these"
