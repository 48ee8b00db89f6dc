"""The bench: a simulated feed whose truth is known.

A scene in linear light (`bench_scene`), a lens, a light and a sensor (`bench_sensor`), a curve and
a signal. The scene is encoded once; a frame is that plus fresh noise, and where the cloud drifts a
strip of rows is encoded anew for each frame.
"""

import os
from collections import OrderedDict
from dataclasses import dataclass, replace
from threading import Lock

import numpy as np
import numpy.typing as npt

from firmware.clock import Clock
from firmware.errors import FrameMissingError
from firmware.feeds.base import FeedInfo, FeedState, Pace
from firmware.feeds.bench.bench_kernels import WHEEL
from firmware.feeds.bench.bench_options import DEFAULT_CURVE, BenchOptions, bench_options
from firmware.feeds.bench.faults import blend, spoil, writable
from firmware.feeds.bench.kept_scene import kept_workshop, scene_folder
from firmware.feeds.bench.layout import sample_steps
from firmware.feeds.bench.sensor import CLOUD_PERIOD_S, STEPS_A_STOP, Sensor, under_light
from firmware.feeds.bench.workshop import named_boxes, pixel_place
from firmware.feeds.pacing import Pacer
from overlays.measure.spot.spot import SpotPlace, check_place
from overlays.signal.carried import CarriedCurve
from overlays.signal.curves import Curve
from overlays.signal.frame import Frame, Planes
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.signal import SignalOverride

BUFFERS = 6
"""Frames that can be lent at a time."""
REMEMBERED = 256
"""Frames of the past whose truth can still be asked for."""


@dataclass(frozen=True, slots=True)
class SpotTruth:
    """What a spot of the bench really is.

    Attributes
    ----------
    percent:
        Mean Y' level without noise.
    stops:
        Of the mean luminance at the sensor, exposure and balance applied, before noise and clip.
    """

    percent: float
    stops: float


class BenchFeed:
    """The simulated feed; see `firmware.feeds.base.Feed` for the contract.

    Parameters
    ----------
    text:
        Options as in ``bench:`` + text.
    clock, pace:
        As for every feed.
    override:
        What the user says of the signal. The bench sends that where its text says nothing; where
        the text does, the bench stays with it, and its frames are read by the override, as those of
        a camera that is set otherwise than its profile would be.
    curve, carriage:
        The curve of the profile in use, taken where the text names none.

    Raises
    ------
    FeedOptionError
        An option is unknown or impossible.
    """

    def __init__(
        self,
        text: str = "",
        *,
        clock: Clock,
        pace: Pace,
        override: SignalOverride = SignalOverride(),  # noqa: B008 - frozen
        curve: Curve | None = None,
        carriage: Carriage | None = None,
    ) -> None:
        options = bench_options(text)
        self._options = options = replace(
            options,
            range=options.range or override.range,
            matrix=options.matrix or override.matrix,
        )
        self._signal = replace(
            options.signal,
            range=override.range or options.claimed.range,
            matrix=override.matrix or options.claimed.matrix,
        )
        self._clock = clock
        self._carried = _carried(options, curve, carriage)
        sent = self._carried
        if options.look is not None:
            look = options.look
            sent = CarriedCurve(look, options.carriage or look.carriage, options.signal.range)
        self._samples = options.layout.samples(options.rows, options.columns)
        self._dtype = np.dtype(np.uint8 if options.bits == 8 else np.uint16)
        probe = np.empty(self._samples * self._dtype.itemsize, dtype=np.uint8)
        steps = sample_steps(probe, self._views(probe))
        drawn = kept_workshop(options.rows, options.columns, scene_folder(os.environ))
        scene = under_light(drawn, options)
        self._sensor = Sensor(scene, options, sent, steps, self._samples)
        strips = int(np.clip(round(options.rate), 8, 60))
        self._strip_rows = 2 * max(1, -(-options.rows // (2 * strips)))
        self._strips = -(-options.rows // self._strip_rows)
        self._phases = np.zeros(self._strips, dtype=np.int64)
        self._sensor.render(0, options.rows, 0)
        self._past: OrderedDict[int, tuple[npt.NDArray[np.int64], int]] = OrderedDict()
        self._free: list[npt.NDArray[np.uint8]] = []
        self._made = 0
        self._lent: dict[int, npt.NDArray[np.uint8]] = {}
        self._lock = Lock()
        self._pacer = Pacer(clock, pace, options.rate)
        self._pace = pace
        self._number = -1
        self._again: npt.NDArray[np.uint8] | None = None
        self._ahead: npt.NDArray[np.uint8] | None = None
        self._closed = False
        self._info = self._describe(text)

    @property
    def info(self) -> FeedInfo:
        """What is known of the bench; never changes."""
        return self._info

    def read(self, timeout_s: float) -> Frame | FeedState:
        """The next frame: with Pace.LIVE the one that is due, with Pace.STEP the next in order.

        NO_FRAME_YET where none is due within the timeout, or all buffers are lent.
        """
        if self._closed:
            return FeedState.GONE
        began_ns = self._clock.now_ns()
        number = self._pacer.due(self._number, timeout_s)
        if number <= self._number:
            return FeedState.NO_FRAME_YET
        buffer = self._buffer(number)
        if buffer is None:
            # Whoever holds the buffers needs time; what is left of the timeout bounds it.
            left_s = timeout_s - (self._clock.now_ns() - began_ns) / 1e9
            self._clock.sleep(min(left_s, 0.5 / self._options.rate))
            return FeedState.NO_FRAME_YET
        self._move_cloud(number)
        self._number = number
        self._fill(buffer, number)
        self._pacer.made(number)
        shift = self._options.layout.shift(self._options.bits)
        time_ns = self._pacer.time_ns(number)
        return Frame(self._views(buffer), self._signal, shift, number, time_ns)

    def release(self, frame: Frame) -> None:
        """Give a lent frame back."""
        with self._lock:
            buffer = self._lent.pop(frame.number, None)
            if buffer is not None and not self._closed:
                self._free.append(buffer)

    def close(self) -> None:
        """Let go of the buffers; frames that are still lent stay valid."""
        with self._lock:
            self._closed = True
            self._free.clear()

    def things(self) -> dict[str, SpotPlace]:
        """Where the things with a name are, as the largest spot well inside each."""
        rows, columns = self._options.rows, self._options.columns
        places = ((name, pixel_place(box, rows, columns)) for name, box in named_boxes().items())
        return {name: SpotPlace(*place) for name, place in places if place is not None}

    def truth(self, place: SpotPlace, frame: Frame) -> SpotTruth:
        """What a spot of a frame really is.

        Raises
        ------
        FrameMissingError
            The frame is not of this bench, or too long ago.
        SpotOutsideError
            The spot does not lie wholly inside the picture.
        """
        past = self._past.get(frame.number)
        if past is None:
            raise FrameMissingError(
                f"the bench no longer knows frame {frame.number}; "
                f"it remembers the last {REMEMBERED}"
            )
        check_place(place, self._info.rows, self._info.columns)
        rows = slice(place.top, place.top + place.rows)
        of_rows = past[0][np.arange(rows.start, rows.stop) // self._strip_rows]
        columns = slice(place.left, place.left + place.size)
        percent, stops = self._sensor.truth(rows, columns, of_rows, past[1])
        # Rounded far below any reading, so that mid-grey is 0.0 and not minus a rounding error.
        return SpotTruth(round(percent, 9), round(stops, 9) + 0.0)

    def _fill(self, buffer: npt.NDArray[np.uint8], number: int) -> None:
        """The next picture, or the one before again, with what is done to it on the way."""
        faults = self._options.faults
        if faults.source(number) != number and self._again is not None:
            buffer[:] = self._again
            return
        if self._ahead is not None:
            buffer[:], self._ahead = self._ahead, None
        else:
            self._picture(buffer)
        if faults.is_blend(number) and self._again is not None:
            self._ahead = np.empty_like(buffer)
            self._ahead[:] = buffer  # what was to come next is one frame later
            one, other = (each.view(self._dtype) for each in (self._again, buffer))
            buffer.view(self._dtype)[:] = blend(one, other)
            return
        self._again = buffer.copy() if faults.needs_the_last else None

    def _picture(self, buffer: npt.NDArray[np.uint8]) -> None:
        options, faults = self._options, self._options.faults
        self._sensor.emit(buffer.view(self._dtype))
        if faults.changes_pictures:
            shift = options.layout.shift(options.bits)
            spoil(writable(self._views(buffer), buffer), options.signal, shift, faults)

    def _views(self, buffer: npt.NDArray[np.uint8]) -> Planes:
        options = self._options
        return options.layout.views(buffer, options.rows, options.columns, self._dtype.itemsize)

    def _buffer(self, number: int) -> npt.NDArray[np.uint8] | None:
        with self._lock:
            if self._free:
                buffer = self._free.pop()
            elif self._made < BUFFERS:
                self._made += 1
                buffer = np.empty(self._samples * self._dtype.itemsize, dtype=np.uint8)
            else:
                return None
            self._lent[number] = buffer
            return buffer

    def _move_cloud(self, number: int) -> None:
        """Encode a strip of rows anew under the cloud of now; under lamps that flicker, all."""
        o, steps, phase = self._options, 0, 0
        if o.cloud > 0.0:
            phase = int(number / o.rate / CLOUD_PERIOD_S * WHEEL) % WHEEL
        if not o.lamps.is_steady:
            stops = o.lamps.stops(number, o.rate, o.seed + o.exposure_stops)
            self._sensor.lit(steps := round(STEPS_A_STOP * stops))
            self._sensor.render(0, o.rows, phase)
            self._phases[:] = phase
        elif o.cloud > 0.0:
            strip = number % self._strips
            top = strip * self._strip_rows
            self._sensor.cloud_over(top, top + self._strip_rows, phase)
            self._phases[strip] = phase
        self._past[number] = self._phases.copy(), steps
        if len(self._past) > REMEMBERED:
            self._past.popitem(last=False)

    def _describe(self, text: str) -> FeedInfo:
        o = self._options
        kind = o.layout.name if o.bits == 8 else f"{o.layout.name}-{o.bits}"
        return FeedInfo(
            name=f"bench:{text}" if text else "bench",
            description=(
                f"simulated bookbinder's workshop, {o.columns}x{o.rows} {kind}, "
                f"{o.claimed.range.value} range, {self._carried.curve.name}, "
                f"{o.rate:g} frames a second"
            ),
            columns=o.columns,
            rows=o.rows,
            signal=self._signal,
            rate=o.rate,
            curve=self._carried.curve,
            carriage=self._carried.carriage,
            gamut=o.gamut,
            own=o.claimed,
            is_simulated=True,
            is_live=self._pace is Pace.LIVE,
            is_endless=True,
        )


def _carried(options: BenchOptions, curve: Curve | None, carriage: Carriage | None) -> CarriedCurve:
    """The curve of the options, else the opener's, else BT.709, as it is to be carried."""
    chosen = options.curve
    if chosen is None:
        chosen = published_curve(DEFAULT_CURVE) if curve is None else curve
        laid = options.carriage or carriage or chosen.carriage
    else:
        laid = options.carriage or chosen.carriage
    return CarriedCurve(chosen, laid, options.signal.range)
