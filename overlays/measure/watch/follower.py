"""Follow one pin through a take and say when its light changed, and how: drift, step or passing.

Two looks at once. The fast look compares each reading with the quiet level just before: what leaves
it by more than the tolerance, and is back within seconds, was something passing; what stays and
came within a second is a step. The slow look compares the quiet level with what was last told of:
what creeps past the tolerance is a drift. Both average over as many readings as the noise asks for,
so that six standard deviations of what they compare fit into the tolerance: an hour of steady feed
then raises no alarm, and a change of twice the tolerance is never missed.

The phases and the ways between them are drawn in `phases`. Each reading goes to the method of the
phase that holds, which gives back the phase that holds next; nothing else sets it.
"""

import math

import numpy as np

from overlays.measure.watch.averaging import MOST_READINGS, QUIET_S, Averaging
from overlays.measure.watch.change import (
    Between,
    Event,
    FloatArray,
    MadeOf,
    Mood,
    Three,
    Tolerance,
    distance,
    rise,
    three,
    times_of,
)
from overlays.measure.watch.phases import ChangingPhase, LearningPhase, Phase, SteadyPhase
from overlays.measure.watch.pin_readings import PinReadings
from overlays.measure.watch.quiet import QuietLevel
from overlays.measure.watch.told import SETTLED_S, ToldSoFar

NO_LIGHT_STOPS = -15.0
"""Stands for a reading without light: below every floor, so that a covered spot counts as dark."""

PASSING_S = 4.0
"""What is back within this has passed; what is not has stepped or drifted."""
STEP_S = 1.0
"""A change that takes longer than this from its first to its last sixth is a drift."""
GAP_S = 1.0
"""A feed silent for longer than this is looked at anew."""
_BACK_S = 0.2
"""What came back must have stayed so long."""
_BEFORE_S = 3.0
"""How far before a change its beginning is looked for."""
_LEAST_READINGS = 8
"""Readings below which nothing is learnt, however slow the feed."""
_RENEW_EVERY = 5
"""Readings from one renewal of the quiet level to the next."""
_NOISE_EVERY = 125
"""Readings from one measuring of noise and rate to the next."""

_Next = tuple[Phase, list[Event]]
Reading = tuple[float | None, float | None, float | None]
"""Level, red against green, blue against green, in stops from anything; None for no light or, of a
colour, for no news of it."""


class Follower:
    """Follows one pin; pure: it knows only the times and readings it is given.

    Parameters
    ----------
    tolerance:
        How far the pin may move unremarked.

    Examples
    --------
    A lamp goes half a stop down after twenty seconds at 25 readings a second:

    >>> follower, events = Follower(Tolerance(level_stops=0.1)), []
    >>> for number in range(25 * 30):
    ...     level = 0.0 if number < 25 * 20 else -0.5
    ...     events += follower.add(number * 40_000_000, (level, 0.0, 0.0))
    >>> [(event.change.value, event.start_ns / 1e9, event.by_stops[0]) for event in events]
    [('step', 20.0, -0.5)]
    """

    def __init__(self, tolerance: Tolerance) -> None:
        self._allowed = tolerance.stops
        self._readings = PinReadings()
        self._quiet = QuietLevel(self._allowed)
        self._noise = Averaging(self._allowed)
        self._rate = 25.0
        self._phase: Phase = LearningPhase()
        self._told: ToldSoFar | None = None

    @property
    def reference(self) -> Three | None:
        """(level, red, blue) that was learnt, in stops; None until then."""
        return None if self._told is None else three(self._told.reference)

    @property
    def off_stops(self) -> Three | None:
        """How far the newest readings lie from the reference, in stops; None until learnt."""
        means = self.means
        return None if means is None else means.off_stops

    @property
    def means(self) -> Between | None:
        """The newest readings and the reference, in stops; None until learnt."""
        if self._told is None or not len(self._readings):
            return None
        count, told = self._noise.averaged, self._told
        known = three(told.reference)
        now, of_now = three(self._readings.mean(count)), self._readings.made_of(count)
        return Between(known, known, now, told.reference_of, told.reference_of, of_now)

    @property
    def made_of(self) -> frozenset[int]:
        """Times of all frames that what may be told of next is made of, the newest ones apart."""
        told, quiet = self._told, self._quiet.made_of
        return times_of(quiet, *([] if told is None else [told.reference_of, told.level_of]))

    @property
    def surest_s(self) -> float:
        """The shortest passing, in seconds, that is sure to be seen at this noise and rate."""
        return (self._noise.averaged + 2) / self._rate

    @property
    def mood(self) -> Mood:
        """What the follower is at."""
        if self._noise.is_too_great:
            return Mood.NOISY
        match self._phase:
            case LearningPhase():
                return Mood.LEARNING
            case SteadyPhase():
                return Mood.STEADY
            case ChangingPhase():
                return Mood.CHANGING

    def add(self, time_ns: int, values: Reading) -> list[Event]:
        """Take a reading.

        Parameters
        ----------
        time_ns:
            Its time, 0 or more; times only go forward.
        values:
            Level, red against green, blue against green, in stops from anything. None for a level
            is no light; None for a colour is no news of it.

        Returns
        -------
        list[Event]
            What is sure with this reading; mostly nothing.
        """
        self._look_out_for_gap(time_ns)
        self._readings.add(time_ns, self._whole(values))
        match self._phase:
            case LearningPhase() as phase:
                self._phase, events = self._learn(phase, time_ns)
            case SteadyPhase() as phase:
                self._phase, events = self._stay(phase, time_ns)
            case ChangingPhase() as phase:
                self._phase, events = self._change(phase, time_ns)
        return events

    def _look_out_for_gap(self, time_ns: int) -> None:
        """Begin to learn anew where the feed was silent; a gap while learning changes nothing."""
        last_ns = self._readings.last_ns
        silent = last_ns is not None and time_ns - last_ns > GAP_S * 1e9
        if silent and not isinstance(self._phase, LearningPhase):
            self._phase = LearningPhase(gap_ns=last_ns)
            self._readings.clear()
            self._quiet.forget_readings()

    def _whole(self, values: Reading) -> FloatArray:
        """(3,) float64 of a reading, with what it does not say filled in."""
        level, red, blue = values
        if level is None or math.isnan(level):
            level = NO_LIGHT_STOPS
        if red is None or math.isnan(red):
            red = self._quiet.level[1]
        if blue is None or math.isnan(blue):
            blue = self._quiet.level[2]
        return np.array((level, red, blue))

    def _learn(self, phase: LearningPhase, time_ns: int) -> _Next:
        self._quiet.add(time_ns, self._readings.newest)
        span_s = self._readings.span_s
        if span_s < QUIET_S or len(self._quiet) < _LEAST_READINGS:
            return phase, []
        self._rate = (len(self._readings) - 1) / span_s
        self._noise.measure(self._quiet.gathered())
        if len(self._quiet) < self._noise.window(self._rate):
            return phase, []
        self._quiet.renew(time_ns, MOST_READINGS)
        level, of = self._quiet.level, self._quiet.made_of
        if self._told is None:
            self._told = ToldSoFar(level, level, reference_of=of, level_of=of)
            return SteadyPhase(), []
        if self._quiet.distance(self._told.level) <= 1.0:
            return SteadyPhase(), []
        began_ns = time_ns if phase.gap_ns is None else phase.gap_ns
        self._told, event = self._told.came_back(level, began_ns, time_ns, of)
        return SteadyPhase(), [event]

    def _stay(self, phase: SteadyPhase, time_ns: int) -> _Next:
        averaged = self._noise.averaged
        away = self._quiet.distance(self._readings.mean(averaged)) > 1.0
        beyond = phase.beyond + 1 if away else 0
        # A single bad reading is beyond for as many means as it is in: one more must be.
        if beyond > averaged:
            return ChangingPhase(self._readings.time_of(averaged + 1)), []
        if beyond == 0:
            self._quiet.add(time_ns, self._readings.newest)
        phase = phase if beyond == phase.beyond else SteadyPhase(beyond)
        if self._readings.total % _RENEW_EVERY:
            return phase, []
        self._renew(time_ns)
        return phase, self._slow_look(time_ns)

    def _renew(self, time_ns: int) -> None:
        """Take the quiet level, and once in a while noise and rate, from the newest readings."""
        window = self._noise.window(self._rate)
        self._quiet.renew(time_ns, window)
        if self._readings.total % _NOISE_EVERY == 0 and min(window, len(self._quiet)) > 25:
            self._noise.measure(self._quiet.newest(window), self._quiet.newest(MOST_READINGS))
            self._rate = (len(self._readings) - 1) / max(self._readings.span_s, 1e-3)

    def _slow_look(self, time_ns: int) -> list[Event]:
        """Tell of the quiet level where it crept away from what was last told of."""
        told, level = self._known, self._quiet.level
        if told.drift is not None:
            stands = self._quiet.moved_within(time_ns, SETTLED_S) < 0.5
            long_ago = time_ns - told.drift.told_ns > SETTLED_S * 1e9
            told = told.following(level, self._quiet.made_of)
            told = told.settled() if stands and long_ago else told
        self._told = told
        if self._quiet.distance(told.level) <= 1.0:
            return []
        began_ns = self._quiet.last_near(time_ns, told.level, 0.25)
        return [self._drift(began_ns, time_ns)]

    def _change(self, phase: ChangingPhase, time_ns: int) -> _Next:
        back = max(self._noise.averaged, round(_BACK_S * self._rate), 2)
        away_s = (time_ns - phase.since_ns) / 1e9
        long_enough = away_s > back / self._rate
        if long_enough and self._quiet.distance(self._readings.mean(back)) < 0.5:
            return SteadyPhase(), [self._passed(phase, back)]
        if away_s < PASSING_S + self._noise.averaged / self._rate:
            return phase, []
        return SteadyPhase(), self._stayed(phase, time_ns)

    def _passed(self, phase: ChangingPhase, back: int) -> Event:
        """Tell of what came back so many readings ago."""
        averaged, quiet = self._noise.averaged, self._quiet
        _, values = self._readings.since(phase.since_ns, averaged)
        which = int(np.argmax(np.max(np.abs(values - quiet.level) / self._allowed, axis=1)))
        times = self._readings.times_around(phase.since_ns, averaged, which)
        made, end_ns = (quiet.made_of, MadeOf.of_all(times)), self._readings.time_of(back)
        return self._known.passed(quiet.level, values[which], phase.since_ns, end_ns, made)

    def _stayed(self, phase: ChangingPhase, time_ns: int) -> list[Event]:
        """It did not come back: a step if it went at once, else a drift."""
        settled = max(self._noise.averaged, round(0.5 * self._rate), 2)
        level, before = self._readings.mean(settled), self._quiet.level
        of, newest = self._readings.made_of(settled), self._readings.last(settled)
        made = self._quiet.made_of, of
        if distance(level, before, self._allowed) <= 1.0:
            event = self._passed(phase, 1)
            self._quiet.begin(time_ns, level, newest, of.level)
            # Where it never was far from where it is now either, it only crept.
            far = distance(before + event.by_stops, level, self._allowed) > 1.0
            return [event] if far else []
        seconds, values = self._readings.since(
            phase.since_ns - round(_BEFORE_S * 1e9), max(self._noise.averaged, 3)
        )
        self._quiet.begin(time_ns, level, newest, of.level)
        which = int(np.argmax(np.abs(level - before) / self._allowed))
        by = float(level[which] - before[which])
        half_ns, took_s = rise(seconds, (values[:, which] - before[which]) / by)
        drift = self._known.drift
        if drift is not None and drift.is_part(time_ns, which, abs(by) / max(took_s, 0.04)):
            if by * drift.heading[which] > 0.0:
                self._told = self._known.going_on(level, time_ns, of)
                return []
            return [self._drift(phase.since_ns, time_ns)]
        if took_s <= STEP_S + self._noise.averaged / self._rate:
            self._told, event = self._known.stepped(before, level, half_ns, time_ns, made)
            return [event]
        return [self._drift(phase.since_ns, time_ns)]

    def _drift(self, start_ns: int, time_ns: int) -> Event:
        level, of = self._quiet.level, self._quiet.made_of
        self._told, event = self._known.drifted(level, start_ns, time_ns, self._allowed, of)
        return event

    @property
    def _known(self) -> ToldSoFar:
        """What was told; every phase but the first learning has it."""
        assert self._told is not None
        return self._told
