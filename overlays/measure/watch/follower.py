"""Follow one pin through a take and say when its light changed, and how: drift, step or passing.

Two looks at once. The fast look compares each reading with the quiet level just before: what leaves
it by more than the tolerance, and is back within seconds, was something passing; what stays and
came within a second is a step. The slow look compares the quiet level with the mark: what creeps
past the tolerance is a drift. Both average over as many readings as the noise asks for, so that six
standard deviations of what they compare fit into the tolerance: an hour of steady feed then raises
no alarm, and a change of twice the tolerance is never missed.
"""

import math
from collections import deque
from itertools import islice

import numpy as np

from overlays.measure.watch.averaging import MOST_READINGS, QUIET_S, Averaging
from overlays.measure.watch.change import (
    Change,
    Event,
    FloatArray,
    Mood,
    Three,
    Tolerance,
    rise,
    three,
)

NO_LIGHT_STOPS = -15.0
"""Stands for a reading without light: below every floor, so that a covered spot counts as dark."""

PASSING_S = 4.0
"""What is back within this has passed; what is not has stepped or drifted."""
STEP_S = 1.0
"""A change that takes longer than this from its first to its last sixth is a drift."""
GAP_S = 1.0
"""A feed silent for longer than this is looked at anew."""
_BACK_S = 0.2
_BEFORE_S = 3.0


class Follower:
    """Follows one pin; pure: it knows only the times and readings it is given.

    Parameters
    ----------
    tolerance:
        How far the pin may move unremarked.
    """

    def __init__(self, tolerance: Tolerance) -> None:
        self._allowed = tolerance.stops
        self._times: deque[int] = deque(maxlen=MOST_READINGS)
        self._values: deque[FloatArray] = deque(maxlen=MOST_READINGS)
        self._quiet: deque[FloatArray] = deque(maxlen=MOST_READINGS)
        self._mark: FloatArray | None = None
        self._known = np.zeros(3)  # the level that was last spoken of
        self._base = np.zeros(3)
        self._bases: deque[tuple[int, FloatArray]] = deque(maxlen=64)
        self._noise = Averaging(self._allowed)
        self._rate = 25.0
        self._away_ns: int | None = None
        self._beyond = 0
        self._count = 0
        self._drift_ns: int | None = None
        self._drift_a_second = np.zeros(3)
        self._heading = np.zeros(3)  # signs of a drift that goes on
        self._learning = True
        self._gap_ns: int | None = None

    @property
    def mark(self) -> Three | None:
        """(level, red, blue) that was learnt; None until then."""
        return None if self._mark is None else three(self._mark)

    @property
    def off_stops(self) -> Three | None:
        """How far the newest readings lie from the mark; None until that is learnt."""
        if self._mark is None or not self._values:
            return None
        return three(self._recent(self._noise.averaged) - self._mark)

    @property
    def surest_s(self) -> float:
        """The shortest passing, in seconds, that is sure to be seen at this noise and rate."""
        return (self._noise.averaged + 2) / self._rate

    @property
    def mood(self) -> Mood:
        """What the follower is at."""
        if self._noise.is_too_great:
            return Mood.NOISY
        if self._learning:
            return Mood.LEARNING
        return Mood.STEADY if self._away_ns is None else Mood.CHANGING

    def add(
        self, time_ns: int, values: tuple[float | None, float | None, float | None]
    ) -> list[Event]:
        """Take a reading: level, red against green, blue against green, in stops from anything.

        None for a level is no light; None for a colour is no news of it. Times only go forward.
        """
        gap = bool(self._times) and time_ns - self._times[-1] > GAP_S * 1e9
        if gap and not self._learning:
            self._look_anew(self._times[-1])
        self._take(time_ns, values)
        if self._learning:
            return self._learn(time_ns)
        if self._away_ns is not None:
            return self._while_away(time_ns)
        return self._while_quiet(time_ns)

    def _take(self, time_ns: int, values: tuple[float | None, float | None, float | None]) -> None:
        instead = (NO_LIGHT_STOPS, self._base[1], self._base[2])
        given = [
            other if value is None or math.isnan(value) else value
            for value, other in zip(values, instead, strict=True)
        ]
        self._times.append(time_ns)
        self._values.append(np.array(given))
        self._count += 1

    def _recent(self, count: int) -> FloatArray:
        """Mean of the newest readings."""
        if count == 1:
            return self._values[-1]
        newest = np.array(list(islice(reversed(self._values), count)))
        return np.asarray(newest.sum(axis=0) / len(newest))

    def _beyond_by(self, values: FloatArray, level: FloatArray) -> float:
        """Greatest distance in tolerances."""
        return float((np.abs(values - level) / self._allowed).max())

    def _look_anew(self, last_ns: int) -> None:
        self._learning, self._gap_ns = True, last_ns
        self._quiet.clear()
        self._times.clear()
        self._values.clear()
        self._away_ns, self._beyond = None, 0

    def _learn(self, time_ns: int) -> list[Event]:
        self._quiet.append(self._values[-1])
        span_s = (time_ns - self._times[0]) / 1e9
        if span_s < QUIET_S or len(self._quiet) < 8:
            return []
        self._rate = (len(self._times) - 1) / span_s
        values = np.array(self._quiet)
        self._noise.measure(values)
        if len(self._quiet) < self._noise.window(self._rate):
            return []
        self._learning = False
        self._base = np.median(values, axis=0)
        self._bases.append((time_ns, self._base))
        if self._mark is None:
            self._mark = self._known = self._base
            return []
        gap_ns, self._gap_ns = self._gap_ns, None
        if self._beyond_by(self._base, self._known) <= 1.0:
            return []
        return [self._event(Change.STEP, gap_ns or time_ns, time_ns, over_gap=True)]

    def _while_quiet(self, time_ns: int) -> list[Event]:
        recent = self._recent(self._noise.averaged)
        self._beyond = self._beyond + 1 if self._beyond_by(recent, self._base) > 1.0 else 0
        # A single bad reading is beyond for as many means as it is in: one more must be.
        if self._beyond > self._noise.averaged:
            self._away_ns = self._times[-min(len(self._times), self._noise.averaged + 1)]
            return []
        if self._beyond == 0:
            self._quiet.append(self._values[-1])
        if self._count % 5:
            return []
        self._refresh(time_ns)
        return self._slow_look(time_ns)

    def _refresh(self, time_ns: int) -> None:
        values = np.array(list(islice(reversed(self._quiet), self._noise.window(self._rate))))
        self._base = np.median(values, axis=0)
        self._bases.append((time_ns, self._base))
        if self._count % 125 == 0 and len(values) > 25:
            self._noise.measure(values)
            self._rate = (len(self._times) - 1) / max((time_ns - self._times[0]) / 1e9, 1e-3)

    def _slow_look(self, time_ns: int) -> list[Event]:
        self._follow_drift(time_ns)
        if self._beyond_by(self._base, self._known) <= 1.0:
            return []
        return [self._drift(self._drift_began(time_ns), time_ns)]

    def _follow_drift(self, time_ns: int) -> None:
        """A drift that goes on the same way was spoken of; one that turns round was not."""
        if self._drift_ns is None:
            return
        onward = (self._base - self._known) * self._heading > 0.0
        self._known = np.where(onward, self._base, self._known)
        if self._is_settled(time_ns):
            self._drift_ns = None
            self._heading = np.zeros(3)

    def _drift(self, start_ns: int, time_ns: int) -> Event:
        event = self._event(Change.DRIFT, start_ns, time_ns)
        by = np.array(event.by_stops)
        self._drift_ns = time_ns
        self._drift_a_second = np.abs(by) / max((time_ns - start_ns) / 1e9, 0.1)
        self._heading = np.where(np.abs(by) > 0.5 * self._allowed, np.sign(by), 0.0)
        return event

    def _is_settled(self, time_ns: int) -> bool:
        """Whether the quiet level moved by less than half the tolerance within five seconds."""
        past = next((base for at, base in self._bases if time_ns - at <= 5e9), self._base)
        return self._beyond_by(self._base, past) < 0.5 and (time_ns - (self._drift_ns or 0)) > 5e9

    def _drift_began(self, time_ns: int) -> int:
        """When the quiet level last was within a quarter of the tolerance of what was known."""
        near = [at for at, base in self._bases if self._beyond_by(base, self._known) < 0.25]
        return near[-1] if near else min(self._bases[0][0], time_ns)

    def _while_away(self, time_ns: int) -> list[Event]:
        assert self._away_ns is not None
        back = max(self._noise.averaged, round(_BACK_S * self._rate), 2)
        away_s = (time_ns - self._away_ns) / 1e9
        if away_s > back / self._rate and self._beyond_by(self._recent(back), self._base) < 0.5:
            return [self._passed(time_ns, back)]
        if away_s < PASSING_S + self._noise.averaged / self._rate:
            return []
        return self._stayed(time_ns)

    def _since(self, start_ns: int, count: int) -> tuple[FloatArray, FloatArray]:
        """(seconds, (n, 3) values) from a time on, each the mean of so many readings around it."""
        times = np.array(self._times)
        values = np.array(self._values)
        kept = times >= start_ns
        if values.shape[0] > count:
            kernel = np.ones(count) / count
            padded = np.pad(values, ((count // 2, count - 1 - count // 2), (0, 0)), mode="edge")
            values = np.stack([np.convolve(c, kernel, "valid") for c in padded.T], axis=1)
        return times[kept] / 1e9, values[kept]

    def _passed(self, time_ns: int, back: int) -> Event:
        start_ns, self._away_ns, self._beyond = self._away_ns or time_ns, None, 0
        _, values = self._since(start_ns, self._noise.averaged)
        away = values - self._base
        peak = away[int(np.argmax(np.max(np.abs(away) / self._allowed, axis=1)))]
        end_ns = self._times[-min(back, len(self._times))]
        off = three(self._base - (self._mark if self._mark is not None else self._base))
        return Event(Change.PASSING, start_ns, max(end_ns, start_ns), three(peak), off)

    def _stayed(self, time_ns: int) -> list[Event]:
        """It did not come back: a step if it went at once, else a drift."""
        settled = max(self._noise.averaged, round(0.5 * self._rate), 2)
        level, before = self._recent(settled), self._base
        if self._beyond_by(level, before) <= 1.0:
            event = self._passed(time_ns, 1)
            self._take_as_quiet(time_ns, level, settled)
            # Where it never was far from where it is now either, it only crept.
            return [event] if self._beyond_by(before + event.by_stops, level) > 1.0 else []
        start_ns, self._away_ns, self._beyond = self._away_ns or time_ns, None, 0
        seconds, values = self._since(
            start_ns - round(_BEFORE_S * 1e9), max(self._noise.averaged, 3)
        )
        self._take_as_quiet(time_ns, level, settled)
        which = int(np.argmax(np.abs(level - before) / self._allowed))
        by = float(level[which] - before[which])
        half_ns, took_s = rise(seconds, (values[:, which] - before[which]) / by)
        goes_on = self._drift_ns is not None and time_ns - self._drift_ns < 8e9
        if goes_on and abs(by) / max(took_s, 0.04) < 5.0 * self._drift_a_second[which]:
            self._drift_ns = time_ns
            if by * self._heading[which] > 0.0:
                self._follow_drift(time_ns)
                return []
            return [self._drift(start_ns, time_ns)]
        if took_s <= STEP_S + self._noise.averaged / self._rate:
            self._drift_ns, self._heading = None, np.zeros(3)
            return [self._event(Change.STEP, half_ns, time_ns, before=before)]
        return [self._drift(start_ns, time_ns)]

    def _take_as_quiet(self, time_ns: int, level: FloatArray, count: int) -> None:
        """Begin the quiet level anew with the newest readings."""
        newest = list(islice(reversed(self._values), count))
        self._quiet.clear()
        self._quiet.extend(reversed(newest))
        self._base = level
        self._bases.append((time_ns, level))

    def _event(
        self,
        change: Change,
        start_ns: int,
        end_ns: int,
        *,
        before: FloatArray | None = None,
        over_gap: bool = False,
    ) -> Event:
        by = self._base - (self._known if before is None else before)
        self._known = self._base
        mark = self._base if self._mark is None else self._mark
        return Event(change, start_ns, end_ns, three(by), three(self._base - mark), over_gap)
