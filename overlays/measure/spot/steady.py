"""The ± of a spot on a feed that runs: the spread of its own mean from frame to frame.

One frame cannot always tell noise from the texture of what it shows. Frames can: texture stays, and
noise is new each time. Not seen from frame to frame is rounding, whose bound each frame
gives, and noise that is frozen (a codec that repeats blocks, a denoiser that carries them on): then
neighbouring frames go together, and the ± is not made narrower by them.
"""

import math
from collections import deque
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.noise import SURE
from overlays.measure.spot.spot import SpotReading
from overlays.measure.spot.spot_errors import SeenNoise, SpotErrors, rounding_only
from overlays.measure.spot.spot_means import percent_sizes
from overlays.measure.spot.spot_words import unknown_sentences
from overlays.measure.spot.stops import stops_pm
from overlays.measure.spot.uncertainty import combine, student95

FloatArray = npt.NDArray[np.float64]

FRAMES = 25
"""Readings that are remembered: a second of frames, or 2.5 s where ten a second are read. In that
time light drifts along a line."""
_FEWEST = 8
"""Readings from which their spread says more than a guess: Student's t is then 2.45."""
_GOES_TOGETHER = 1.645
"""One-sided 95 % point of a normal distribution: the correlation of neighbouring readings from
which their noise is not new, in units of its standard error 1/sqrt(n)."""


class SteadySpot:
    """Remembers the last readings of one spot and replaces the ± of the newest by their spread.

    Parameters
    ----------
    yard:
        The yardstick that the readings were taken with; another one needs another memory.
    frames:
        Readings to remember, `FRAMES` where not said.

    Examples
    --------
    One for each spot, fed with each new reading of it::

        steady = SteadySpot(yard)
        reading = steady.add(read_spot(frame, yard, place))
    """

    def __init__(self, yard: Yardstick, frames: int = FRAMES) -> None:
        self._yard = yard
        self._readings: deque[SpotReading] = deque(maxlen=max(frames, _FEWEST))

    def add(self, reading: SpotReading) -> SpotReading:
        """The reading with its ± replaced, or as it is while too few frames were seen.

        The values are those of this reading, not a mean over frames: light may move. A half width
        that reached down to no light may be had from frames; of noise that is cut off, and of light
        that is clipped, there is none.

        Parameters
        ----------
        reading:
            Of the next frame; one of another place starts anew.

        Returns
        -------
        SpotReading
            With what frames tell of its ±.

        Examples
        --------
        >>> from overlays.measure.counting.example_yards import LOG
        >>> from overlays.measure.spot.spot import SpotPlace, read_spot
        >>> from overlays.signal.example_frames import grey_frame
        >>> steady = SteadySpot(LOG)
        >>> reading = read_spot(grey_frame([[420]], cell=16), LOG, SpotPlace(8, 8, 8))
        >>> steady.add(reading) is reading  # one frame tells nothing of the spread over frames
        True
        """
        if self._readings and self._readings[-1].place != reading.place:
            self._readings.clear()
        self._readings.append(reading)
        if len(self._readings) < _FEWEST:
            return reading
        values = np.array([(*r.rgb_linear, r.percent) for r in self._readings])
        left, degrees = _about_a_line(values)
        covariance = left.T @ left / degrees
        seen = SeenNoise(covariance[:3, :3], degrees)
        errors = replace(reading.errors, seen=seen)
        width = errors.pm(self._yard.weights)
        alone = reading.errors.pm(self._yard.weights)
        if width < alone and _goes_together(left[:, 3]):
            return reading
        return self._with(reading, errors, (width, float(np.sqrt(covariance[3, 3]))))

    def _with(
        self, reading: SpotReading, errors: SpotErrors, widths: tuple[float, float]
    ) -> SpotReading:
        width, percent_spread = widths
        sizes = percent_sizes(self._yard)
        rounding = combine(np.zeros(3), sizes, [rounding_only(p) for p in errors.planes])
        degrees = 1.0 if errors.seen is None else errors.seen.degrees
        stops = (reading.stops, *reading.rgb_stops)
        light = (reading.luminance, *reading.rgb_linear)
        of_light = (width, *(errors.pm(np.eye(3)[k]) for k in range(3)))
        pms = [
            None if reading.cut_off or each is None else stops_pm(mean, half)
            for each, mean, half in zip(stops, light, of_light, strict=True)
        ]
        found = replace(
            reading,
            stops_pm=pms[0],
            rgb_stops_pm=(pms[1], pms[2], pms[3]),
            percent_pm=float(np.hypot(SURE * student95(degrees) * percent_spread, rounding))
            + errors.hidden_percent,
            errors=errors,
            stops_noise=(pms[0] or 0.0) * errors.noise_share(self._yard.weights, width),
        )
        return _said_anew(found, reading)


def _said_anew(found: SpotReading, alone: SpotReading) -> SpotReading:
    """What frames found, with what it says of itself in place of what one frame said."""
    if found.unknown is alone.unknown:
        return found
    before = unknown_sentences(alone.unknown, alone.cut_off)
    kept = (each for each in alone.warnings if each not in before)
    return replace(found, warnings=(*kept, *unknown_sentences(found.unknown, found.cut_off)))


def _about_a_line(values: FloatArray) -> tuple[FloatArray, float]:
    """(n, m) values less a straight line through each column, and the degrees of freedom left."""
    count = values.shape[0]
    line = np.stack([np.ones(count), np.linspace(-1.0, 1.0, count)], axis=1)
    found, *_ = np.linalg.lstsq(line, values, rcond=None)
    return values - line @ found, float(count - 2)


def _goes_together(left: FloatArray) -> bool:
    """Whether neighbouring readings share their noise, or show none at all."""
    power = float(left @ left)
    if power <= 0.0:
        return True
    return float(left[1:] @ left[:-1]) > power * _GOES_TOGETHER / math.sqrt(left.size)
