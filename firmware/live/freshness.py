"""How far what is on the screen may be believed. A pure function of what is known of its frame."""

from dataclasses import dataclass

from firmware.feeds.base import FeedState
from firmware.system.stages import QUIET_NS, SLOWEST_NS, Stage, Stages
from overlays.draw.moment.shown import Face

STALE_NS = QUIET_NS
"""A frame that is shown and older is not live."""

_WAITING = frozenset({None, FeedState.NO_FRAME_YET})

_SAID_WHOLE = frozenset({Face.LOST, Face.STARTING})
"""Faces whose words tell why; all others say it by themselves."""

_MEANT = {
    "capture": "no answer from the feed for {}",
    "measuring": "no result for {}",
}


@dataclass(frozen=True, slots=True)
class Freshness:
    """A face, and what is said beside it."""

    face: Face
    words: str


@dataclass(frozen=True, slots=True)
class Signs:
    """What is known of a moment besides its time.

    Attributes
    ----------
    shown_ns:
        When the frame that is on the screen came in; None before the first.
    state:
        What the feed answered last where that was no frame.
    held:
        Number of the frame that is held; None where none is.
    limit_ns:
        How old the frame on the screen may be.
    stalled:
        The stage that keeps pictures from the screen, if one does.
    lamp_stalled:
        Whether the lamp no longer follows.
    working:
        What a stage that is silent is known to be busy with; empty where nothing is known.
    name:
        Of the feed.
    """

    shown_ns: int | None
    state: FeedState | None
    held: int | None = None
    limit_ns: int = STALE_NS
    stalled: Stage | None = None
    lamp_stalled: bool = False
    working: str = ""
    name: str = ""


def look(now_ns: int, signs: Signs) -> Freshness:
    """The face of a moment."""
    if signs.held is not None:
        return Freshness(Face.HELD, f"frame {signs.held} held")
    stalled, state = signs.stalled, signs.state
    if state is FeedState.DAMAGED and signs.shown_ns is not None:
        # Some frames are: while whole ones come as well, the screen is calm.
        state = None if now_ns - signs.shown_ns <= signs.limit_ns else state
    if state not in _WAITING:
        assert state is not None
        # A feed that has said why there is nothing may take its time over a device that comes back.
        if stalled is None or stalled.silent_ns(now_ns) <= SLOWEST_NS:
            return Freshness(Face.LOST, _words(state, signs.name))
    if stalled is not None:
        return Freshness(Face.STALLED, _stalled_words(stalled, now_ns, signs.working))
    if signs.shown_ns is None:
        return Freshness(Face.STARTING, "waiting for the first frame")
    return _by_age(now_ns - signs.shown_ns, signs)


def _by_age(age_ns: int, signs: Signs) -> Freshness:
    if age_ns > signs.limit_ns:
        return Freshness(Face.STALE, f"last frame {_seconds(age_ns)} ago")
    if signs.lamp_stalled:
        return Freshness(Face.LAMP, "ignore it")
    return Freshness(Face.LIVE, "")


def status_of(now_ns: int, seen: Freshness, stages: Stages, *, is_making: bool = False) -> str:
    """What `systemctl status` says of the moment, also where no screen can.

    Parameters
    ----------
    seen:
        What was painted last.
    is_making:
        Whether kernels are being made: what waits for them does not hang.
    """
    if is_making and seen.face is Face.STARTING:
        return f"{seen.face.value}: {seen.words}"
    stalled = stages.before_the_screen(now_ns)
    if stages.drawing.is_stalled(now_ns):
        return f"{Face.STALLED.value}: drawing has not ended a turn, the screen is frozen"
    # A first frame that takes its time is said as the screen says it; what hangs ends that.
    if stalled is not None and seen.face not in _SAID_WHOLE:
        # Without the time, which would be told anew with each turn.
        return f"{Face.STALLED.value}: {stalled.name} has not ended a turn"
    return f"{seen.face.value}: {seen.words}" if seen.face in _SAID_WHOLE else seen.face.value


def _stalled_words(stage: Stage, now_ns: int, working: str) -> str:
    said = _MEANT[stage.name].format(_seconds(stage.silent_ns(now_ns)))
    return f"{stage.name}: {working or said}"


def _seconds(span_ns: int) -> str:
    """Tenths as long as they matter; then whole ones, so that the screen is calm."""
    return f"{span_ns / 1e9:.1f} s" if span_ns < 1_000_000_000 else f"{span_ns // 1_000_000_000} s"


def _words(state: FeedState, name: str) -> str:
    """Why there is no picture; where the face says it already, what to look at."""
    if state is FeedState.ABSENT:
        return f"{name} is {state.value}"
    if state is FeedState.NO_SIGNAL:
        return "check that the source is on and its cable sits"
    words: str = state.value
    return words
