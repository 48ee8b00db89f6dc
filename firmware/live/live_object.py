"""The object that a run without a screen prints, one a line."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from firmware.answers.cleaner import said


@dataclass(frozen=True, slots=True)
class LiveObject:
    """One moment of a run."""

    time: str | None = said("time of day in UTC; null where the clock cannot be right")
    seconds: float = said("since the run began, on a clock that never goes back")
    state: str = said("how far the reading may be believed: live, hold, stale, no signal ...")
    state_words: str = said("what is to be said of that; empty while it is live")
    frame: int | None = said("number of the frame that was read; null without one")
    simulated: bool = said("whether it is the bench, with no camera behind it")
    view: str = said("the view in use")
    signal: tuple[str, ...] = said("what a lamp says of the moment")
    target: str = said("where the spot should be")
    target_within: float = said("how many stops from it still count as there")
    side: str | None = said("in, over or under; null where that cannot be said")
    off_target: float | None = said("stops of the spot above its target")
    off_target_pm: float | None = said("its half width at 95 %; null where unknown")
    why: str = said("why there is no side; empty where there is one")
    note: str = said("what has just happened; empty where nothing has")
    alert: str | None = said("the gravest trouble of the machine, and what to do")
    warnings: tuple[str, ...] = said("sentences about profile and feed")
    answer: Mapping[str, Any] | None = said(
        "what the view's own command gives with --json; null where there is no reading"
    )
