"""Measures frame after frame with what the state asks for; keeps what can be kept between them."""

from collections import deque
from dataclasses import dataclass, replace

from firmware.clock import Clock
from firmware.live.state import State
from firmware.live.stats import Stats
from firmware.profiles.model import Profile
from firmware.reported import Scene, Wishes
from firmware.reporting import Reporter
from firmware.state_exposure import inside, wishes_of
from overlays.draw.layout.views import WITH_CHROMA, TraceKind, View
from overlays.draw.moment.more import More
from overlays.draw.moment.shown import Measured, StripeShown
from overlays.errors import BandError, OverlayError
from overlays.measure.counting.bands import Band, code_band
from overlays.measure.counting.census import Census, Wants, take_census
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.range import RangeReading, read_range, share_in_band
from overlays.measure.spot.spot import SpotPlace, SpotReading, read_spot
from overlays.signal.frame import Frame
from overlays.signal.quantities import Level
from overlays.signal.signal import Signal

SPOT_EVERY_NS = 100_000_000
"""The spot is read ten times a second: faster, no eye could. The census counts every frame."""

RANGE_EVERY_NS = 250_000_000
"""Extremes and shares, which take longer to find, four times a second."""

SPARE_CENSUSES = 4


@dataclass(frozen=True, slots=True)
class Orders:
    """What is to be measured, as the drawing thread last said."""

    profile: Profile
    stripes: tuple[Band, ...]
    place: SpotPlace
    trace: TraceKind
    wishes: Wishes | None = None


def orders_of(state: State) -> Orders:
    """What a state asks for."""
    shown = state.view is View.EXPOSE
    trace = state.trace if shown else TraceKind.LUMA
    return Orders(
        state.in_use,
        state.stripes,
        state.spot,
        trace,
        replace(
            wishes_of(state.setup, state.view, state.in_use), held=state.held, colour=state.colour
        ),
    )


@dataclass(slots=True)
class _Known:
    """What was read last, for which orders and when."""

    orders: Orders
    spot_ns: int
    range_ns: int
    spot: SpotReading | None = None
    range: RangeReading | None = None
    stripes: tuple[StripeShown, ...] = ()
    more: More | None = None


class Measurer:
    """Takes censuses and readings. `measure` belongs to one thread; `give_back` to any."""

    def __init__(self, clock: Clock, stats: Stats, reporter: Reporter | None = None) -> None:
        self._clock, self._stats = clock, stats
        self._spare: deque[Census] = deque(maxlen=SPARE_CENSUSES)
        self._yard: tuple[Profile, Signal, int, Yardstick] | None = None
        self._known: _Known | None = None
        self._reporter = reporter or Reporter(clock)

    def measure(self, frame: Frame, orders: Orders) -> Measured:
        """The census of a frame; numbers too, where they are due or the orders are new."""
        yard = self._yardstick(frame, orders.profile)
        start_ns = self._clock.now_ns()
        known = self._known
        if known is None or known.orders != orders:
            known = self._known = _Known(
                orders, start_ns - SPOT_EVERY_NS, start_ns - RANGE_EVERY_NS
            )
        range_due = not 0 <= start_ns - known.range_ns < RANGE_EVERY_NS
        wants = Wants.LEVELS
        if range_due:
            wants |= Wants.CLIPPING
        forecast = range_due and orders.wishes is not None and orders.wishes.view is View.ADVICE
        if orders.trace is TraceKind.RGB or forecast:
            wants |= Wants.RGB
        if orders.wishes is not None and orders.wishes.view in WITH_CHROMA:
            wants |= Wants.CHROMA
        reuse = self._spare.pop() if self._spare else None
        census = take_census(frame, yard, wants, reuse)
        self._note("census", start_ns)
        place = inside(
            orders.place.column, orders.place.row, orders.place.size, frame.columns, frame.rows
        )
        spot_due = not 0 <= start_ns - known.spot_ns < SPOT_EVERY_NS
        if spot_due:
            known.spot_ns = start_ns
            self._read_spot(frame, yard, place, known)
        if range_due:
            known.range_ns = start_ns
            self._read_range(frame, yard, census, known)
        if orders.wishes is not None and (spot_due or range_due):
            scene = Scene(frame, yard, census, place, known.spot, known.range)
            self._report(scene, orders.wishes, known, range_due=range_due)
        return Measured(
            frame, yard, census, place, known.spot, known.range, known.stripes, known.more
        )

    def give_back(self, census: Census) -> None:
        """A census that is no longer shown; its buffers are used again."""
        self._spare.append(census)

    def _yardstick(self, frame: Frame, profile: Profile) -> Yardstick:
        known = self._yard
        if known is not None and known[:3] == (profile, frame.signal, frame.shift):
            return known[3]
        yard = profile.yardstick(frame.signal, frame.shift)
        self._yard = (profile, frame.signal, frame.shift, yard)
        self._known = None
        return yard

    # What cannot be read is shown as not known; the next frame may be another matter.

    def _read_spot(self, frame: Frame, yard: Yardstick, place: SpotPlace, known: _Known) -> None:
        start_ns = self._clock.now_ns()
        try:
            known.spot = read_spot(frame, yard, place)
        except OverlayError:
            known.spot = None
        self._note("spot", start_ns)

    def _read_range(self, frame: Frame, yard: Yardstick, census: Census, known: _Known) -> None:
        start_ns = self._clock.now_ns()
        try:
            known.range = read_range(frame, yard, census, known.orders.profile.speck_percent)
        except OverlayError:
            known.range = None
        known.stripes = tuple(_stripe(band, yard, census) for band in known.orders.stripes)
        self._note("range", start_ns)

    def _report(self, scene: Scene, wishes: Wishes, known: _Known, *, range_due: bool) -> None:
        self._reporter.follow(scene, wishes)
        if range_due:
            known.more = self._reporter.more(scene, wishes)

    def _note(self, stage: str, start_ns: int) -> None:
        self._stats.stages[stage].add_ns(self._clock.now_ns() - start_ns)


def _stripe(band: Band, yard: Yardstick, census: Census) -> StripeShown:
    words = band_words(band)
    try:
        codes = code_band(band, yard)
    except BandError:
        return StripeShown(words, None)
    return StripeShown(words, codes, share_in_band(census, codes, yard))


def band_words(band: Band) -> str:
    """A band as the screen says it: thirds of a stop with two decimals, a true minus."""
    rounded = replace(band, at=Level(round(band.at.number, 2) + 0.0, band.at.unit))
    return str(rounded).replace("-", "−")
