"""What presses do to how the picture is shown. Pure."""

from collections.abc import Callable
from dataclasses import replace
from enum import Enum
from typing import TypeVar

from firmware.actions import Press
from overlays.draw.layout.monitor import TIMES, Monitor, ViewTransform

Kind = TypeVar("Kind", bound=Enum)


def following(member: Kind) -> Kind:
    """The next of its kind, behind the last the first."""
    every = list(type(member))
    return every[(every.index(member) + 1) % len(every)]


def _next_transform(monitor: Monitor) -> Monitor:
    there = [
        each for each in ViewTransform if each is not ViewTransform.CUBE or monitor.cube is not None
    ]
    at = there.index(monitor.transform) if monitor.transform in there else 0
    return replace(monitor, transform=there[(at + 1) % len(there)])


def _stop_map(monitor: Monitor) -> Monitor:
    return replace(monitor, stop_map=not monitor.stop_map)


def _magnify(monitor: Monitor) -> Monitor:
    return replace(monitor, times=TIMES[(TIMES.index(monitor.times) + 1) % len(TIMES)])


def _edges(monitor: Monitor) -> Monitor:
    return replace(monitor, edges=not monitor.edges)


def _on(index: int | None, count: int) -> int | None:
    """One after the other, then none."""
    following = 0 if index is None else index + 1
    return following if following < count else None


def _frame_lines(monitor: Monitor) -> Monitor:
    return replace(monitor, frame=_on(monitor.frame, len(monitor.ratios)))


def _desqueeze(monitor: Monitor) -> Monitor:
    return replace(monitor, factor=_on(monitor.factor, len(monitor.factors)))


def _flip(monitor: Monitor) -> Monitor:
    return replace(monitor, flipped=not monitor.flipped)


def _mirror(monitor: Monitor) -> Monitor:
    return replace(monitor, mirrored=not monitor.mirrored)


MONITOR_STEPS: dict[Press, Callable[[Monitor], Monitor]] = {
    Press.VIEW_TRANSFORM: _next_transform,
    Press.STOP_MAP: _stop_map,
    Press.MAGNIFY: _magnify,
    Press.EDGES: _edges,
    Press.FRAME_LINES: _frame_lines,
    Press.DESQUEEZE: _desqueeze,
    Press.FLIP: _flip,
    Press.MIRROR: _mirror,
}
"""They mean the same in every view, and nothing that is measured changes by them."""
