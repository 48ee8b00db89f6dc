"""A figure of each view for the index: measured one after the other, and only while it is shown."""

from collections.abc import Mapping
from typing import Any, Protocol

from firmware.instruments.contract import Instrument
from firmware.instruments.registry import Registry
from firmware.instruments.scene import Scene
from firmware.live.by_profile import Settings
from overlays.draw.layout.views import TraceKind
from overlays.measure.counting.census import Wants

AGAIN_NS = 1_000_000_000
"""From one figure of a view to its next, at least; at each look one of them is measured."""


class AskedFor(Protocol):
    """What of the orders matters here."""

    @property
    def index(self) -> bool:
        """Whether the index is shown."""
        ...

    @property
    def settings(self) -> Settings:
        """What each instrument is set to."""
        ...

    @property
    def trace(self) -> TraceKind:
        """What the trace shows."""
        ...


def wants_of(
    in_view: Instrument[Any, Any, Any], registry: Registry, orders: AskedFor, *, due: bool
) -> Wants:
    """What is counted of a frame; where numbers are due, what they are made from besides."""
    wants = Wants.RGB if orders.trace is TraceKind.RGB else Wants.LEVELS
    wants |= Wants.LEVELS | (Wants.CLIPPING if due else Wants.LEVELS)
    for each in registry if orders.index else (in_view,):
        wants |= each.counts | (each.counts_when_due if due else Wants.LEVELS)
    return wants


class Figures:
    """What the instruments say in short. None is older than the index has been shown."""

    def __init__(self, registry: Registry, memories: Mapping[str, Any]) -> None:
        self._registry, self._memories = registry, memories
        self._found: dict[str, tuple[int, str]] = {}

    def look(self, scene: Scene, orders: AskedFor, now_ns: int) -> dict[str, str]:
        """The figure of each view by its name, as far as there are any; one of them is new."""
        if not orders.index:
            self._found = {}  # what was shown is of then
            return {}
        by_name = dict(orders.settings)
        due = [
            each
            for each in self._registry
            if each.views and self._age_ns(each, now_ns) >= self._rest_ns(each, by_name)
        ]
        if due:
            oldest = max(due, key=lambda each: self._age_ns(each, now_ns))
            answer = oldest.measure(scene, by_name[oldest.name], self._memories[oldest.name])
            self._found[oldest.name] = (now_ns, oldest.figure(answer))
        return {
            view.name: self._found[each.name][1]
            for each in self._registry
            if each.name in self._found
            for view in each.views
        }

    def _age_ns(self, instrument: Instrument[Any, Any, Any], now_ns: int) -> float:
        found = self._found.get(instrument.name)
        return float("inf") if found is None else now_ns - found[0]

    def _rest_ns(self, instrument: Instrument[Any, Any, Any], settings: dict[str, Any]) -> int:
        return max(AGAIN_NS, instrument.every_ns(settings[instrument.name]))
