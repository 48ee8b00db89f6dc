import tracemalloc
from dataclasses import replace

import pytest

from firmware.clock import HandClock
from firmware.live.measurer import RANGE_EVERY_NS, SPOT_EVERY_NS, Measurer, band_words, orders_of
from firmware.live.state import Press, after, first_state
from firmware.live.stats import Stats
from firmware.profiles.shelf import load_profile
from overlays.draw.layout.views import TraceKind, View
from overlays.measure.counting.bands import Band, BandKind, around
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.quantities import percent, stops
from overlays.signal.signal import Signal, Subsampling

STANDARD = load_profile("standard")


@pytest.fixture
def clock():
    return HandClock(start_ns=10**9)


def state(columns=96, rows=64):
    return first_state((STANDARD, load_profile("hlg")), columns, rows)


def test_numbers_are_those_of_the_measuring_functions(frame, clock):
    measurer, some = Measurer(clock, Stats()), frame(500)
    made = measurer.measure(some, orders_of(state()))
    assert made.spot == replace(read_spot(some, made.yard, made.place), errors=made.spot.errors)
    assert made.range is not None
    assert int(made.census.levels.sum()) == 96 * 64
    assert [s.words for s in made.stripes] == ["0 st ± 0.2 st", "above 95 %", "below 2 %"]


def test_every_frame_is_counted_but_numbers_are_read_at_their_own_pace(frame, clock):
    measurer, orders = Measurer(clock, Stats()), orders_of(state())
    first = measurer.measure(frame(500), orders)
    soon = measurer.measure(frame(700), orders)
    assert soon.spot is first.spot
    assert (soon.census.levels != first.census.levels).any()
    clock.move(SPOT_EVERY_NS / 1e9)
    later = measurer.measure(frame(700), orders)
    assert later.spot.percent > first.spot.percent + 10
    assert later.range is first.range
    clock.move(RANGE_EVERY_NS / 1e9)
    assert measurer.measure(frame(700), orders).range is not first.range


@pytest.mark.parametrize("press", [Press.SPOT_LEFT, Press.NEXT_PROFILE, Press.STRIPE_UP])
def test_new_orders_are_obeyed_at_once(frame, clock, press):
    measurer, start = Measurer(clock, Stats()), state()
    before = measurer.measure(frame(500), orders_of(start))
    now = measurer.measure(frame(500), orders_of(after(start, press)))
    assert now.spot is not before.spot
    assert now.stripes is not before.stripes


def test_channels_are_counted_only_while_they_are_shown(frame, clock):
    measurer, start = Measurer(clock, Stats()), replace(state(), trace=TraceKind.RGB)
    assert measurer.measure(frame(500), orders_of(start)).census.rgb is not None
    hidden = replace(start, view=View.READING)
    assert orders_of(hidden).trace is TraceKind.LUMA


@pytest.mark.parametrize("view", list(View))
def test_chroma_is_counted_only_where_it_is_shown(frame, clock, view):
    made = Measurer(clock, Stats()).measure(frame(500), orders_of(replace(state(), view=view)))
    shown = view in {View.BALANCE, View.MATCH}
    assert (made.census.chroma is not None) == shown
    assert (made.more is not None and made.more.chroma is not None) == shown


def test_a_census_given_back_is_used_again(frame, clock):
    measurer, orders = Measurer(clock, Stats()), orders_of(state())
    first = measurer.measure(frame(500), orders)
    measurer.give_back(first.census)
    assert measurer.measure(frame(500), orders).census is first.census


def test_another_signal_gets_its_own_yardstick(frame, clock):
    measurer, orders = Measurer(clock, Stats()), orders_of(state())
    ten = measurer.measure(frame(500), orders)
    eight = measurer.measure(frame(125, Signal(subsampling=Subsampling.S444)), orders)
    assert eight.yard.signal.bits == 8
    assert eight.spot.percent == pytest.approx(ten.spot.percent, abs=0.3)


def test_a_spot_of_a_larger_picture_is_brought_inside(frame, clock):
    measurer = Measurer(clock, Stats())
    orders = replace(orders_of(state()), place=SpotPlace(1900, 1000, 48))
    made = measurer.measure(frame(500), orders)
    assert (made.place.column, made.place.row) == (72, 40)
    assert made.spot is not None


def test_a_stripe_that_no_code_carries_is_shown_as_such(frame, clock):
    orders = replace(orders_of(state()), stripes=(around(percent(300.0), percent(1.0)),))
    made = Measurer(clock, Stats()).measure(frame(500), orders)
    assert made.stripes[0].codes is None


def test_bands_are_worded_with_a_true_minus_and_short_thirds():
    assert band_words(around(stops(-1.0 / 3.0), stops(0.2))) == "−0.33 st ± 0.2 st"
    assert band_words(Band(BandKind.ABOVE, percent(95.0))) == "above 95 %"
    assert band_words(around(stops(-0.001), stops(0.2))) == "0 st ± 0.2 st"


def test_after_warm_up_measuring_allocates_little_from_frame_to_frame(frame, clock):
    measurer, orders, some = Measurer(clock, Stats()), orders_of(state()), frame(500)
    for _ in range(3):
        measurer.give_back(measurer.measure(some, orders).census)
    tracemalloc.start()
    try:
        for _ in range(50):
            measurer.give_back(measurer.measure(some, orders).census)
        now, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert most < 50_000
    assert now < 20_000
