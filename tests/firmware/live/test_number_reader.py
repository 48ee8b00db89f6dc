"""What is read of a frame, in steps or at once; ceilings that it shows count for itself."""

from dataclasses import replace
from unittest.mock import Mock

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.health.stats import Stats
from firmware.instruments.registry import REGISTRY
from firmware.instruments.scene import Frames
from firmware.live.kept_ceilings import Ceilings
from firmware.live.memories import memories_of
from firmware.live.number_reader import NumberReader
from firmware.live.orders import orders_of
from firmware.live.read_so_far import ReadSoFar, TakenUp
from firmware.live.state import first_state
from firmware.live.yards import Yards
from firmware.opening.read_with import read_with
from firmware.profiles.shelf import load_profile
from overlays.measure.counting.census import Wants, take_census
from overlays.measure.range.range import read_range
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.sharing.stepwise import whole
from tests import views

WANTS = Wants.LEVELS | Wants.CLIPPING | Wants.RGB
PLACE = SpotPlace(48, 32, 16)


@pytest.fixture
def yards():
    return Yards(Ceilings())


@pytest.fixture
def reader_of(yards):
    def made(frames=Frames.LIVE):
        clock = HandClock(10**9)
        return NumberReader(clock, Stats(), REGISTRY, memories_of(REGISTRY), frames, yards)

    return made


@pytest.fixture
def taken_of(info, yards):
    def made(some):
        profile = load_profile("standard")
        state = first_state((profile,), info(), views.EXPOSE)
        orders = orders_of(state, read_with(profile, info()))
        base = yards.base(some, orders.read_with)
        return TakenUp(some, base, base, PLACE, ReadSoFar(orders, 0, 0, -(10**10)))

    return made


def counted(taken):
    return take_census(taken.frame, taken.yard, WANTS)


no_count = Mock(side_effect=AssertionError("nothing is to be counted again"))


def counting(steps):
    """How many steps they are, and what they found."""
    count = 0
    while True:
        try:
            next(steps)
        except StopIteration as end:
            return count, end.value
        count += 1


def test_the_range_is_that_of_the_measuring_functions_however_it_is_cut(frame, reader_of, taken_of):
    taken = taken_of(frame(700))
    count, (yard, census) = counting(reader_of().range(taken, counted(taken), no_count))
    assert yard is taken.yard
    assert taken.known.range == read_range(taken.frame, yard, census)
    assert count >= 5  # no step of them takes all of its time


def test_ceilings_that_a_frame_shows_are_counted_by_in_that_frame(
    frame, reader_of, taken_of, yards, monkeypatch
):
    taken = taken_of(frame(700))
    again = Mock(side_effect=lambda it, _census: counted(it))
    lower = taken.yard.under(None, (90.0, None, None))
    monkeypatch.setattr(
        yards, "under_ceilings", Mock(side_effect=[taken.yard, lower, lower, lower])
    )
    yard, census = whole(reader_of().range(taken, counted(taken), again))
    assert yard is lower
    (call,) = again.call_args_list
    assert call.args[0].yard is lower
    np.testing.assert_array_equal(census.levels, counted(taken).levels)


def test_of_a_held_frame_no_ceiling_is_remembered(frame, reader_of, taken_of, yards, monkeypatch):
    see = Mock()
    monkeypatch.setattr(yards, "see", see)
    for frames, times in ((Frames.HELD, 0), (Frames.LIVE, 1)):
        taken = taken_of(frame(700))
        whole(reader_of(frames).range(taken, counted(taken), no_count))
        assert see.call_count == times


def test_a_spot_that_sticks_out_is_not_known(frame, reader_of, taken_of):
    taken = taken_of(frame(700))
    reader = reader_of()
    reader.spot(taken, taken.yard)
    assert taken.known.spot.stops == read_spot(taken.frame, taken.yard, PLACE).stops
    beyond = TakenUp(taken.frame, taken.base, taken.yard, SpotPlace(9000, 0, 16), taken.known)
    reader.spot(beyond, taken.yard)
    assert taken.known.spot is None


@pytest.mark.parametrize("frames", Frames)
@pytest.mark.parametrize("held", [True, False])
def test_what_is_on_the_screen_is_a_held_frame_while_one_is_held_else_a_live_one(
    reader_of, taken_of, frame, frames, held
):
    taken = taken_of(frame())
    taken.known.orders = replace(taken.known.orders, held=held)
    scene = reader_of(frames).scene(taken, taken.yard, counted(taken), 0)
    assert scene.is_shown == ((frames is Frames.HELD) == held)
