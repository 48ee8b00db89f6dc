"""How far what is on the screen may be believed. A pure function of what the feed did last."""

from dataclasses import dataclass

from firmware.feeds.base import FeedState
from overlays.draw.moment.shown import Face

STALE_NS = 450_000_000
"""A frame older is not live: with a turn of the loop on top it shows within half a second."""

_WAITING = frozenset({None, FeedState.NO_FRAME_YET})


@dataclass(frozen=True, slots=True)
class Freshness:
    """A face, and what is said beside it."""

    face: Face
    words: str


def look(
    now_ns: int,
    last_frame_ns: int | None,
    state: FeedState | None,
    held: int | None,
    name: str = "",
) -> Freshness:
    """The face of a moment.

    Parameters
    ----------
    now_ns:
        The moment.
    last_frame_ns:
        When the last frame came in; None before the first.
    state:
        What the feed answered last where that was no frame.
    held:
        Number of the frame that is held; None where none is.
    name:
        Of the feed.
    """
    if held is not None:
        return Freshness(Face.HELD, f"frame {held} held")
    if last_frame_ns is None:
        if state in _WAITING:
            return Freshness(Face.STARTING, "waiting for the first frame")
        assert state is not None
        return Freshness(Face.LOST, _words(state, name))
    age_ns = now_ns - last_frame_ns
    if age_ns <= STALE_NS:
        return Freshness(Face.LIVE, "")
    if state not in _WAITING:
        assert state is not None
        return Freshness(Face.LOST, _words(state, name))
    return Freshness(Face.STALE, f"last frame {age_ns / 1e9:.1f} s ago")


def _words(state: FeedState, name: str) -> str:
    """Why there is no picture; where the face says it already, what to look at."""
    if state is FeedState.ABSENT:
        return f"{name} is {state.value}"
    if state is FeedState.NO_SIGNAL:
        return "check that the source is on and its cable sits"
    words: str = state.value
    return words
