"""The answer of the instrument in view: when it is measured, at once or meanwhile."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from firmware.instruments.contract import Instrument
from firmware.instruments.scene import Scene
from firmware.live.meantime import Meantime
from firmware.live.orders import Orders
from overlays.draw.moment.layers import Said

AnyInstrument = Instrument[Any, Any, Any]
Key = tuple[object, ...]
"""All that an answer depends on besides the frame; for another key it says nothing."""


@dataclass(frozen=True, slots=True, eq=False)
class _Answered:
    """What was found last, of a frame measured when, and for what."""

    key: Key
    at_ns: int
    answer: object
    said: Said


class AnswerShown:
    """What the instrument in view found last. Belongs to the thread that measures.

    Parameters
    ----------
    memories:
        What each instrument keeps from frame to frame, by its name.
    """

    def __init__(self, memories: Mapping[str, Any]) -> None:
        self._memories = memories
        self._last: _Answered | None = None
        self._sought: Key | None = None
        self.meantime: Meantime | None = None
        """Where what takes long waits for its time; without it all is measured at once."""

    @property
    def said(self) -> Said | None:
        """What it says, None before the first answer."""
        return None if self._last is None else self._last.said

    @property
    def answer(self) -> object:
        """Its answer, None where there is none yet."""
        return None if self._last is None else self._last.answer

    def forget(self) -> None:
        """What was found is of another frame than the one that is shown."""
        self._last = None

    def look(self, instrument: AnyInstrument, scene: Scene, orders: Orders) -> None:
        """Let it measure, unless it did so lately for the same.

        What takes long is measured at once the first time, so that there is something to show;
        then in steps, between the frames, on a copy of one.
        """
        settings = dict(orders.settings)[instrument.name]
        by = orders.desk, orders.read_with, orders.place, scene.frame.signal
        key, last = (orders.view, settings, *by), self._last
        if last is not None and last.key == key:
            if 0 <= scene.now_ns - last.at_ns < instrument.every_ns(settings):
                return
            if self.meantime is not None and instrument.is_long(settings):
                if self._sought != key:
                    self._sought = key
                    self.meantime.add(self._later(instrument, scene.kept(), settings, key))
                return
        answer = instrument.measure(scene, settings, self._memories[instrument.name])
        self._take(key, scene.now_ns, instrument, answer)

    def _later(
        self,
        instrument: AnyInstrument,
        scene: Scene,
        settings: Any,  # noqa: ANN401 - each has its own
        key: Key,
    ) -> Iterator[None]:
        """Its steps, until there is an answer or another one is asked for."""
        memory = self._memories[instrument.name]
        steps = instrument.measure_in_steps(scene, settings, memory)
        while self._last is not None and self._last.key == key:
            try:
                next(steps)
            except StopIteration as end:
                self._take(key, scene.now_ns, instrument, end.value)
                break
            yield
        if self._sought == key:
            self._sought = None

    def _take(self, key: Key, at_ns: int, instrument: AnyInstrument, answer: object) -> None:
        said = Said(instrument.report(answer), instrument.layers(answer))
        self._last = _Answered(key, at_ns, answer, said)
