"""What was found of a camera's ceilings stays known, and for one profile only."""

from dataclasses import replace

import pytest

from firmware.live.kept_ceilings import LEAST_CHANGE_PERCENT, Ceilings
from firmware.opening.read_with import read_with
from firmware.profiles.shelf import load_profile
from overlays.measure.counting.census import Wants, take_census
from overlays.measure.counting.clip import NOWHERE, FlatTop
from overlays.measure.range.range import read_range
from tests.colour_frames import card, frame_of


@pytest.fixture
def seen(info):
    """(what it is read with, its yardstick, a range that found a ceiling of red at a level)."""
    frame = frame_of(card([0.2] * 3), "S-Log3")
    read_as = read_with(load_profile("log-s3"), info(signal=frame.signal))
    yard = read_as.yardstick(frame.signal)
    found = read_range(frame, yard, take_census(frame, yard, Wants.LEVELS | Wants.CLIPPING))

    def at(percent, doubts=NOWHERE):
        top = None if percent is None else FlatTop((percent, None, None), 0.1)
        peaks = (80.0 if percent is None else percent, 20.0, 20.0)
        return replace(found, flat_top_here=top, doubts=doubts, peaks_percent=peaks)

    return read_as, yard, at


def test_a_ceiling_stays_known_and_is_the_same_object_while_it_hardly_moves(seen):
    read_as, yard, at = seen
    kept = Ceilings()
    kept.see(read_as, yard, at(80.0))
    first, _ = kept.known(read_as, yard.signal)
    assert first.percents == (80.0, None, None)
    kept.see(read_as, yard, at(80.0 + 0.5 * LEAST_CHANGE_PERCENT))
    assert kept.known(read_as, yard.signal)[0] is first
    kept.see(read_as, yard, at(None))
    later, _ = kept.known(read_as, yard.signal)
    assert later.percents == pytest.approx((80.0, None, None), abs=LEAST_CHANGE_PERCENT)
    assert (first.share, later.share) == (0.1, 0.0)  # an earlier picture showed it


def test_a_higher_one_takes_its_place(seen):
    read_as, yard, at = seen
    kept = Ceilings()
    kept.see(read_as, yard, at(80.0))
    kept.see(read_as, yard, at(85.0))
    assert kept.known(read_as, yard.signal)[0].percents == (85.0, None, None)


def test_another_profile_knows_nothing_of_it(seen):
    read_as, yard, at = seen
    kept = Ceilings()
    kept.see(read_as, yard, at(80.0))
    other = replace(read_as, profile=load_profile("log-v"))
    assert kept.known(other, yard.signal) == (None, NOWHERE)


def test_a_doubt_is_of_its_frame_alone(seen):
    read_as, yard, at = seen
    kept = Ceilings()
    kept.see(read_as, yard, at(None, (70.0, None, None)))
    assert kept.known(read_as, yard.signal) == (None, (70.0, None, None))
    kept.see(read_as, yard, at(None))
    assert kept.known(read_as, yard.signal) == (None, NOWHERE)
