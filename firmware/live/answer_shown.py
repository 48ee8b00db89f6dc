"""The answer of the instrument in view: when it is measured, and how old it is said to be."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from firmware.instruments.contract import Instrument
from firmware.instruments.scene import Scene
from firmware.live.by_profile import Settings
from firmware.live.searching import AT_ONCE, LastFound, Searches, Sought
from overlays.draw.moment.layers import Said
from overlays.draw.moment.report import Report, Row, Tone
from overlays.wording.numbers import UNKNOWN

OLD_NS = 2_000_000_000
"""An answer from a frame older than this says how old; below, it is as quick as a look at it."""


@dataclass(frozen=True, slots=True, eq=False)
class _Answered:
    """What was found last, when, and for what; `since_ns` is since when that has been asked."""

    key: tuple[object, ...]
    since_ns: int
    at_ns: int
    answer: object
    said: Said


class AnswerShown:
    """What the instrument in view found last.

    Parameters
    ----------
    memories:
        What each instrument keeps from frame to frame, by its name.
    """

    def __init__(self, memories: Mapping[str, Any]) -> None:
        self._memories = memories
        self._last: _Answered | None = None
        self.searches: Searches = AT_ONCE
        """Where what takes long is found."""

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

    def look(
        self,
        instrument: Instrument[Any, Any, Any],
        scene: Scene,
        settings_of: Settings,
        also: tuple[object, ...],
    ) -> None:
        """Let it measure, unless it did so lately for the same.

        Parameters
        ----------
        instrument:
            The one in view.
        scene:
            A frame, counted and read.
        settings_of:
            What each instrument is set to.
        also:
            What else an answer rests on; with another, the one before says nothing.
        """
        settings = dict(settings_of)[instrument.name]
        if instrument.waiting_words(settings):
            self._seek(instrument, scene, settings)
            return
        key = instrument.name, settings, scene.desk, scene.place, *also
        if self._is_recent(key, scene.now_ns, instrument.every_ns(settings)):
            return
        answer = instrument.measure(scene, settings, self._memories[instrument.name])
        said = Said(instrument.report(answer), instrument.layers(answer))
        self._last = _Answered(key, scene.now_ns, scene.now_ns, answer, said)

    def _seek(
        self,
        instrument: Instrument[Any, Any, Any],
        scene: Scene,
        settings: Any,  # noqa: ANN401 - each has its own
    ) -> None:
        """What takes long: the newest there is, with its age."""
        now_ns, last = scene.now_ns, self._last
        sought = sought_of(instrument, scene, settings, self._memories, now_ns)
        if last is not None and last.key == sought.key:
            sought = replace(sought, since_ns=last.since_ns)
        if self.searches is AT_ONCE and self._is_recent(sought.key, now_ns, sought.every_ns):
            return
        found = self.searches.look(sought, scene)
        if found is None:
            words = instrument.waiting_words(settings)
            said = Said(Report(instrument.name, UNKNOWN, "", words, Tone.QUIET), ())
            found = LastFound(None, now_ns)
        else:
            said = _aged(instrument, found, now_ns)
        self._last = _Answered(sought.key, sought.since_ns, found.at_ns, found.answer, said)

    def _is_recent(self, key: tuple[object, ...], now_ns: int, every_ns: int) -> bool:
        last = self._last
        return last is not None and last.key == key and 0 <= now_ns - last.at_ns < every_ns


def sought_of(
    instrument: Instrument[Any, Any, Any],
    scene: Scene,
    settings: Any,  # noqa: ANN401 - each has its own
    memories: Mapping[str, Any],
    since_ns: int,
) -> Sought:
    """The search for the answer of an instrument that takes long, since a moment."""
    memory = memories[instrument.name]
    return Sought(
        instrument.name,
        (instrument.name, settings, scene.read_with, scene.frame.signal),
        lambda copied: instrument.measure(copied, settings, memory),
        since_ns,
        instrument.every_ns(settings),
    )


def _aged(instrument: Instrument[Any, Any, Any], found: LastFound, now_ns: int) -> Said:
    """What it says; where its frame is old, how old."""
    report, layers = instrument.report(found.answer), instrument.layers(found.answer)
    age_ns = now_ns - found.at_ns
    if report is None or age_ns < OLD_NS:
        return Said(report, layers)
    age = Row("seen", f"{age_ns / 1e9:.0f} s ago")
    return Said(replace(report, rows=(age, *report.rows)), layers)
