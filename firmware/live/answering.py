"""What a press asked of others than the loop: each is told, and what it answers is shown."""

from collections.abc import Iterator

from firmware.live.hooks import Hooks
from firmware.live.state import State
from firmware.opening.read_with import ReadWith
from overlays.draw.moment.shown import Measured


def answered(
    hooks: Hooks, before: State, now: State, seen: Measured | None, read_with: ReadWith
) -> Iterator[str]:
    """Tell everybody of whom something was asked since the state `before`; what they say.

    Parameters
    ----------
    hooks:
        Those who are told.
    before, now:
        The state before and after presses.
    seen, read_with:
        What can be read on the screen, and what it was read with.
    """
    if now.screenshots != before.screenshots:
        yield hooks.screenshot(seen)
    if now.marks != before.marks:
        yield hooks.mark(seen, now, read_with)
    if now.kept_clips != before.kept_clips:
        yield hooks.keep_clip(now.in_use, None if seen is None else seen.yard.flat_top)
    if moved := now.lights - before.lights:
        yield hooks.light(moved)
