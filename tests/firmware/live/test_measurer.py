import tracemalloc
from dataclasses import replace
from unittest import mock

import numpy as np
import pytest

from firmware.actions import Press
from firmware.clock import HandClock
from firmware.health.stats import Stats
from firmware.instruments.pins.instrument import EVERY_NS
from firmware.instruments.registry import REGISTRY
from firmware.instruments.scene import Frames
from firmware.live.last_spots import PAUSE_NS
from firmware.live.meantime import Meantime
from firmware.live.measurer import SPOT_EVERY_NS, Measurer
from firmware.live.memories import memories_of
from firmware.live.orders import orders_of
from firmware.live.read_so_far import RANGE_EVERY_NS
from firmware.live.state import after, first_state
from firmware.opening.read_with import read_with
from firmware.profiles.shelf import load_profile
from overlays.draw.layout.views import TraceKind
from overlays.draw.moment.layers import ChromaShown
from overlays.measure.counting.bands import around
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.quantities import percent
from overlays.signal.signal import Range, Signal, SignalOverride, Subsampling
from tests import views
from tests.crews import Backwards
from tests.slow_clock import SlowClock

STANDARD = load_profile("standard")


EVENNESS = "the pins view, asked how even the light is"


def turned_to(state, view):
    if view is EVENNESS:
        return after(replace(state, view=views.PINS), Press.NEXT_STRIPE)
    return replace(state, view=view)


@pytest.fixture
def clock():
    return HandClock(start_ns=10**9)


@pytest.fixture
def measurer(clock):
    return Measurer(clock, Stats(), REGISTRY)


@pytest.fixture
def state(info):
    return first_state((STANDARD, load_profile("hlg")), info(), views.EXPOSE)


@pytest.fixture
def orders_for(info):
    def made(state):
        return orders_of(state, read_with(state.in_use, info(), override=state.override))

    return made


@pytest.fixture
def orders(orders_for, state):
    return orders_for(state)


def test_numbers_are_those_of_the_measuring_functions(frame, measurer, orders):
    some = frame(500)
    made = measurer.measure(some, orders)
    assert made.spot == replace(read_spot(some, made.yard, made.place), errors=made.spot.errors)
    assert made.range is not None
    assert int(made.census.levels.sum()) == 96 * 64
    assert [s.words for s in made.stripes] == ["0 st ± 0.2 st", "above 95 %", "below 2 %"]


def test_every_frame_is_counted_but_numbers_are_read_at_their_own_pace(
    frame, clock, measurer, orders
):
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
def test_new_orders_are_obeyed_at_once(frame, measurer, state, orders_for, press):
    before = measurer.measure(frame(500), orders_for(state))
    now = measurer.measure(frame(500), orders_for(after(state, press)))
    assert now.spot is not before.spot
    assert now.stripes is not before.stripes


def test_a_range_that_is_said_otherwise_is_obeyed_at_once(frame, measurer, state, orders_for):
    before = measurer.measure(frame(500), orders_for(state))
    full = replace(state, override=SignalOverride(Range.FULL))
    now = measurer.measure(frame(500), orders_for(full))
    assert before.yard.signal.range is Range.LIMITED
    assert now.yard.signal.range is now.frame.signal.range is Range.FULL
    # 500.25 of ten bits, by ITU-R BT.2100-2 Table 9: limited 64 to 940, full 0 to 1023.
    assert before.spot.percent == pytest.approx(100.0 * (500.25 - 64) / 876, abs=0.05)
    assert now.spot.percent == pytest.approx(100.0 * 500.25 / 1023, abs=0.05)


def test_channels_are_counted_only_while_they_are_shown(frame, measurer, state, orders_for):
    start = replace(state, trace=TraceKind.RGB)
    assert measurer.measure(frame(500), orders_for(start)).census.rgb is not None
    for view in (view for view in views.VIEWS if view is not views.EXPOSE):
        assert orders_for(replace(start, view=view)).trace is TraceKind.LUMA


@pytest.mark.parametrize("view", views.VIEWS)
def test_chroma_is_counted_only_where_it_is_shown(frame, measurer, state, orders_for, view):
    made = measurer.measure(frame(500), orders_for(replace(state, view=view)))
    shown = view in {views.BALANCE, views.MATCH}
    assert (made.census.chroma is not None) == shown
    assert (made.said is not None and made.said.layer(ChromaShown) is not None) == shown


@pytest.mark.parametrize("view", views.VIEWS)
def test_the_instrument_in_view_answers_and_has_its_say(frame, measurer, state, orders_for, view):
    made = measurer.measure(frame(500), orders_for(replace(state, view=view)))
    instrument = REGISTRY.in_view(view)
    assert made.view is view
    assert made.answer is not None
    assert made.said.report == instrument.report(made.answer)
    assert (made.said.report is None) == (view is views.PICTURE)


def test_an_answer_is_of_the_view_that_is_asked_for_at_once(frame, measurer, state, orders_for):
    for view in views.VIEWS:
        made = measurer.measure(frame(500), orders_for(replace(state, view=view)))
        other = measurer.measure(frame(500), orders_for(replace(state, view=view)))
        assert made.view is other.view is view
        assert other.answer is made.answer  # it is not due again


def test_what_is_kept_from_frame_to_frame_is_shared_with_the_held_one(clock, frame, orders):
    memories = memories_of(REGISTRY)
    live = Measurer(clock, Stats(), REGISTRY, memories)
    held = Measurer(clock, Stats(), REGISTRY, memories, Frames.HELD)
    assert set(memories) == {each.name for each in REGISTRY}
    assert live.measure(frame(500), orders).spot.percent == pytest.approx(
        held.measure(frame(500), orders).spot.percent
    )


@pytest.mark.parametrize("view", [views.EXPOSE, EVENNESS])
def test_a_held_frame_never_shows_the_numbers_of_the_one_held_before(
    frame, clock, state, orders_for, view
):
    """However fast somebody holds one frame after the other."""
    held = Measurer(clock, Stats(), REGISTRY, frames=Frames.HELD)
    orders = orders_for(turned_to(state, view))
    first = held.measure(frame(500, number=1), orders)
    again = held.measure(frame(500, number=1), orders)
    assert again.answer is first.answer
    other = held.measure(frame(700, number=2), orders)
    assert other.answer is not first.answer
    assert other.spot.percent > first.spot.percent + 10
    assert other.range is not first.range


def test_an_answer_that_takes_long_is_given_once_a_second_or_where_it_is_another_one(
    frame, clock, measurer, state, orders_for
):
    start = turned_to(state, EVENNESS)
    first = measurer.measure(frame(500), orders_for(start)).answer
    assert first.evenness is not None
    clock.move(0.3)
    soon = measurer.measure(frame(500), orders_for(start))
    assert soon.answer is first
    assert soon.said.report.heading == "evenness of the spot"
    pinned = after(after(start, Press.SET_PIN), Press.SET_PIN)
    moved = measurer.measure(frame(500), orders_for(pinned)).answer
    assert moved.evenness.of == "evenness, pins 1 to 2"
    again = measurer.measure(frame(500), orders_for(start)).answer
    assert again is not first
    assert measurer.measure(frame(500), orders_for(start)).answer is again
    clock.move(EVERY_NS / 1e9)
    later = measurer.measure(frame(500), orders_for(start)).answer
    assert later is not again
    other = orders_for(after(start, Press.NEXT_PROFILE))
    assert measurer.measure(frame(500), other).answer is not later


def test_what_is_moved_besides_leaves_a_long_answer_alone(frame, measurer, state, orders_for):
    start = turned_to(state, EVENNESS)
    first = measurer.measure(frame(500), orders_for(start)).answer
    hidden = replace(start, stripes=(), selected=0)
    assert measurer.measure(frame(500), orders_for(hidden)).answer is first


def test_a_census_given_back_is_used_again(frame, measurer, orders):
    first = measurer.measure(frame(500), orders)
    measurer.give_back(first.census)
    assert measurer.measure(frame(500), orders).census is first.census


def test_another_signal_gets_its_own_yardstick(frame, measurer, orders):
    ten = measurer.measure(frame(500), orders)
    eight = measurer.measure(frame(125, Signal(subsampling=Subsampling.S444)), orders)
    assert eight.yard.signal.bits == 8
    assert eight.spot.percent == pytest.approx(ten.spot.percent, abs=0.3)


def test_a_spot_of_a_larger_picture_is_brought_inside(frame, measurer, orders):
    made = measurer.measure(frame(500), replace(orders, place=SpotPlace(1900, 1000, 48)))
    assert (made.place.column, made.place.row) == (72, 40)
    assert made.spot is not None


def test_a_stripe_that_no_code_carries_is_shown_as_such(frame, measurer, orders):
    beyond = replace(orders, stripes=(around(percent(300.0), percent(1.0)),))
    assert measurer.measure(frame(500), beyond).stripes[0].codes is None


def test_after_warm_up_measuring_allocates_little_from_frame_to_frame(frame, measurer, orders):
    some = frame(500)
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


def grained(frame, seed):
    """A grey thing with a texture of its own, and noise that is new with each frame."""
    made = frame(500, number=seed)
    texture = np.random.default_rng(7).normal(0.0, 6.0, made.planes[0].shape)
    noise = np.random.default_rng(100 + seed).normal(0.0, 0.6, made.planes[0].shape)
    made.planes[0][:] = np.rint(500.0 + texture + noise).astype(made.planes[0].dtype)
    return made


def half_widths(frame, clock, orders, measurer, count=12):
    out = []
    for seed in range(count):
        out.append(measurer.measure(grained(frame, seed), orders).spot.stops_pm)
        clock.move(0.1)
    return out


def test_frames_tell_texture_from_noise(frame, clock, orders, measurer):
    seen = half_widths(frame, clock, orders, measurer)
    assert seen[1] == pytest.approx(seen[0], rel=0.2)  # two frames say nothing of each other
    assert seen[-1] < 0.6 * seen[0]


def test_a_held_frame_is_alone(frame, clock, orders):
    held = Measurer(clock, Stats(), REGISTRY, frames=Frames.HELD)
    seen = half_widths(frame, clock, orders, held)
    assert seen[-1] == pytest.approx(seen[0], rel=0.2)


def test_a_spot_that_was_moved_is_learnt_anew(frame, clock, state, orders_for, measurer):
    before = half_widths(frame, clock, orders_for(state), measurer)[-1]
    moved = orders_for(after(state, Press.SPOT_LEFT))
    assert measurer.measure(grained(frame, 50), moved).spot.stops_pm > 1.4 * before


@pytest.mark.parametrize("press", [Press.SET_PIN, Press.STRIPE_UP, Press.NEXT_VIEW])
def test_a_press_that_leaves_the_spot_alone_leaves_its_half_width(
    frame, clock, state, orders_for, measurer, press
):
    *_, before = half_widths(frame, clock, orders_for(state), measurer)
    pressed = after(state, press)
    assert orders_for(pressed) != orders_for(state)
    assert pressed.spot == state.spot
    spot = measurer.measure(grained(frame, 50), orders_for(pressed)).spot
    assert spot.stops_pm == pytest.approx(before, rel=0.3)


def test_another_profile_or_a_pause_starts_the_last_readings_anew(
    frame, clock, state, orders_for, measurer
):
    *_, before = half_widths(frame, clock, orders_for(state), measurer)
    clock.move(PAUSE_NS / 1e9)
    assert measurer.measure(grained(frame, 60), orders_for(state)).spot.stops_pm > 1.4 * before
    *_, before = half_widths(frame, clock, orders_for(state), measurer)
    stepped = after(state, Press.NEXT_PROFILE)
    assert stepped.in_use != state.in_use
    alone, yard = grained(frame, 61), orders_for(stepped)
    made = measurer.measure(alone, yard)
    assert made.spot.stops_pm == read_spot(alone, made.yard, made.place).stops_pm


def test_a_frame_is_shared_by_the_crew_it_was_given(frame, measurer, orders):
    alone = measurer.measure(frame(), orders)
    shared = Measurer(HandClock(start_ns=10**9), Stats(), REGISTRY)
    shared.crew = crew = Backwards(3)
    seen = shared.measure(frame(), orders)
    assert crew.shared > 1
    np.testing.assert_array_equal(seen.census.levels, alone.census.levels)
    assert seen.range == alone.range


@pytest.fixture
def meantime(clock, measurer):
    """Frames come every 40 ms, so that the range is read meanwhile."""
    made = Meantime(clock)
    measurer.wait_in(made)
    made.frame()
    clock.move(0.04)
    made.frame()
    return made


def test_the_first_range_is_read_at_once(frame, measurer, orders, meantime):
    assert measurer.measure(frame(500), orders).range is not None
    assert meantime.waits == 0


def test_of_frames_that_come_fast_the_range_is_read_meanwhile_and_is_the_same(
    frame, clock, measurer, orders, meantime
):
    first = measurer.measure(frame(500), orders)
    clock.move(RANGE_EVERY_NS / 1e9)
    bright = frame(1019)
    shown = measurer.measure(bright, orders)
    assert shown.range is first.range
    assert meantime.waits == 2  # and the spot
    assert measurer.measure(frame(600), orders).range is first.range  # none is begun beside it
    assert meantime.waits == 2
    while meantime.waits:
        meantime.go_on()
    then = measurer.measure(frame(600), orders)
    alone = Measurer(clock, Stats(), REGISTRY).measure(bright, orders)
    assert then.range.brightest.stops == alone.range.brightest.stops > first.range.brightest.stops
    assert then.range.clipped_rgb == alone.range.clipped_rgb == (1.0, 1.0, 1.0)
    assert then.answer.forecast is not None  # for which R, G and B were counted


def test_of_frames_that_come_fast_the_spot_is_read_once_the_frame_is_shown_and_is_the_same(
    frame, clock, measurer, orders, meantime
):
    first = measurer.measure(frame(500), orders)
    clock.move(SPOT_EVERY_NS / 1e9)
    lent = frame(700)
    assert measurer.measure(lent, orders).spot is first.spot
    for plane in lent.planes:  # its buffer is used again
        plane.setflags(write=True)
        plane[:] = 64
    meantime.go_on()
    then = measurer.measure(frame(600), orders)
    alone = Measurer(clock, Stats(), REGISTRY).measure(frame(700), orders)
    assert then.spot.stops == alone.spot.stops > first.spot.stops


def test_a_spot_that_waits_is_read_before_the_next_one(frame, clock, measurer, orders, meantime):
    """However little time there was between the frames: nobody is told of them out of order."""
    told: list[float] = []
    watch = REGISTRY.in_view(views.WATCH)

    def follow(_self, scene, *_args, **_how):
        told.append(round(scene.spot.percent))

    with mock.patch.object(type(watch), "follow", follow):
        for code in (500, 600, 700):
            measurer.measure(frame(code), orders)
            clock.move(SPOT_EVERY_NS / 1e9)
        assert len(told) == 2
        clock.move(1.0)
        meantime.frame()  # so slow that the next one is read at once
        measurer.measure(frame(800), orders)
        assert len(told) == 4
        meantime.go_on()
    assert told == sorted(set(told))
    assert len(told) == 4


def test_counts_that_are_still_read_are_not_used_again(frame, clock, measurer, orders, meantime):
    measurer.measure(frame(500), orders)
    clock.move(SPOT_EVERY_NS / 1e9)
    shown = measurer.measure(frame(600), orders)
    measurer.give_back(shown.census)
    assert measurer.measure(frame(700), orders).census is not shown.census
    meantime.go_on()
    other = measurer.measure(frame(700), orders)
    measurer.give_back(other.census)
    assert measurer.measure(frame(500), orders).census is other.census


def test_the_range_of_meanwhile_is_of_the_frame_as_it_was(frame, clock, measurer, orders, meantime):
    measurer.measure(frame(500), orders)
    clock.move(RANGE_EVERY_NS / 1e9)
    lent = frame(700)
    measurer.measure(lent, orders)
    for plane in lent.planes:  # its buffer is used again
        plane.setflags(write=True)
        plane[:] = 64
    while meantime.waits:
        meantime.go_on()
    then = measurer.measure(frame(600), orders)
    alone = Measurer(clock, Stats(), REGISTRY).measure(frame(700), orders)
    assert then.range.darkest.stops == alone.range.darkest.stops


def test_frames_that_come_slowly_have_their_own_range(frame, clock, measurer, orders, meantime):
    first = measurer.measure(frame(500), orders)
    clock.move(RANGE_EVERY_NS / 1e9)
    meantime.frame()
    assert measurer.measure(frame(700), orders).range is not first.range
    assert meantime.waits == 0


def test_what_is_read_meanwhile_for_other_orders_is_left(
    frame, clock, measurer, state, orders_for, meantime
):
    measurer.measure(frame(500), orders_for(state))
    clock.move(RANGE_EVERY_NS / 1e9)
    measurer.measure(frame(700), orders_for(state))
    now = measurer.measure(frame(600), orders_for(after(state, Press.NEXT_PROFILE)))
    while meantime.waits:
        meantime.go_on()
    after_it = measurer.measure(frame(600), orders_for(after(state, Press.NEXT_PROFILE)))
    assert after_it.range is now.range
    assert meantime.waits == 0


def test_whoever_follows_the_light_is_told_of_each_frame_in_its_order(
    frame, clock, measurer, state, orders_for
):
    """What is read meanwhile is of a frame that newer ones have been followed since."""
    told: list[tuple[int, object]] = []
    watch = REGISTRY.in_view(views.WATCH)
    orders = orders_for(replace(state, view=views.WATCH))
    meantime = measurer.wait_in(Meantime(SlowClock(clock)))

    def follow(_self, scene, *_args, **_how):
        told.append((scene.now_ns, scene.spot))

    ranges = set()
    with mock.patch.object(type(watch), "follow", follow):
        for number in range(60):
            at_ns = clock.now_ns()
            shown = measurer.measure(frame(500 + number), orders)
            ranges.add(id(shown.range))
            if told[-1][0] == at_ns:
                assert told[-1][1] is shown.spot
            meantime.go_on()
            clock.move(0.01)
            meantime.frame()
    assert len(ranges) > 2  # some were read meanwhile
    assert len(told) > 10
    times = [at for at, _ in told]
    assert times == sorted(set(times))
