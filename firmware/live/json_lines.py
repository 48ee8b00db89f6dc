"""A run without a screen, as lines of JSON: one object a line, schema 1."""

import json
from typing import TextIO

from firmware.answers.cleaner import clean, enveloped
from firmware.clock import Clock, day_of, iso_utc
from firmware.controls.saying import Sayer, Saying
from firmware.instruments.registry import REGISTRY, Registry
from firmware.live.live_object import LiveObject
from overlays.draw.moment.shown import Measured, Shown

EVERY_NS = 1_000_000_000
"""From line to line while nothing happens."""
LEAST_NS = 100_000_000
"""And at the least, however much happens: ten lines a second are read by programs only."""

Key = tuple[object, ...]


class JsonLines:
    """Prints moments: one a second, and at once what is said differently than before.

    Parameters
    ----------
    out:
        Where to.
    clock:
        Time.
    """

    def __init__(self, out: TextIO, clock: Clock, registry: Registry = REGISTRY) -> None:
        self._out, self._clock, self._registry = out, clock, registry
        self._begun_ns = clock.now_ns()
        self._printed_ns: int | None = None
        self._key: Key = ()
        self._sayer = Sayer()

    def tell(self, shown: Shown) -> None:
        """Print a moment where it is time to."""
        saying, now_ns = self._sayer.of(shown), self._clock.now_ns()
        judged, readable = self._sayer.judged, shown.readable
        has_answer = readable is not None and readable.answer is not None
        key = (shown.face, shown.view, saying, judged.side, shown.note, shown.alert, has_answer)
        if self._printed_ns is not None:
            since_ns = now_ns - self._printed_ns
            if since_ns < (EVERY_NS if key == self._key else LEAST_NS):
                return
        self._printed_ns, self._key = now_ns, key
        made = enveloped(self._object(shown, saying, now_ns))
        print(json.dumps(made, allow_nan=False, ensure_ascii=False), file=self._out, flush=True)

    def _object(self, shown: Shown, saying: tuple[Saying, ...], now_ns: int) -> LiveObject:
        judged, readable, wall_s = self._sayer.judged, shown.readable, self._clock.wall_s()
        return LiveObject(
            time=None if day_of(wall_s) is None else iso_utc(wall_s),
            seconds=round((now_ns - self._begun_ns) / 1e9, 3),
            state=shown.face.value,
            state_words=shown.face_words,
            frame=None if readable is None else readable.frame.number,
            simulated=shown.source.is_simulated,
            view=shown.view.name,
            signal=tuple(each.value for each in saying),
            target=str(shown.goal.target),
            target_within=shown.goal.within_stops,
            side=None if judged.side is None else judged.side.value,
            off_target=judged.off_stops,
            off_target_pm=judged.pm_stops,
            why=judged.why,
            note=shown.note,
            alert=None if shown.alert is None else shown.alert.words,
            warnings=shown.warnings,
            answer=self._answer(readable),
        )

    def _answer(self, readable: Measured | None) -> dict[str, object] | None:
        if readable is None or readable.answer is None or readable.view is None:
            return None
        line, answer = self._registry.line_in_view(readable.view), readable.answer
        made = clean(line.object_of(answer)) if line.instrument.has_object(answer) else None
        return made if isinstance(made, dict) else None
