"""Lamps on the mains against frames: a beat, or light that stands still at another place."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.feeds.bench.feed import BenchFeed
from firmware.feeds.bench.lamps import Lamps
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.frame import Frame

PLACE = SpotPlace(160, 90, 20)


def stops_of(text, frames=10):
    """(read, true) stops of the grey card, frame by frame."""
    feed = BenchFeed(f"size=320x180,signal=yuv422-10,{text}", clock=HandClock(), pace=Pace.STEP)
    out = []
    for _ in range(frames):
        frame = feed.read(1.0)
        assert isinstance(frame, Frame)
        yard = yardstick(frame.signal, feed.info.curve)
        truth = feed.truth(PLACE, frame).stops
        out.append((read_spot(frame, yard, PLACE).stops, truth))
        feed.release(frame)
    return np.array(out).T


def test_120_swings_beat_with_25_frames_five_times_a_second():
    read, true = stops_of("flicker=0.6,cloud=0")
    assert read == pytest.approx(true, abs=0.01)
    assert true[:5] == pytest.approx(true[5:], abs=1e-6)  # |120 - 5 x 25| = 5 a second
    assert np.ptp(true) > 0.45


@pytest.mark.parametrize(("mains", "rate"), [(50, 25), (50, 50), (60, 24), (60, 60)])
def test_light_stands_still_where_the_mains_are_a_multiple_and_is_another_each_time(mains, rate):
    same = [stops_of(f"flicker=0.6,mains={mains},rate={rate},seed={n}", 3)[1] for n in range(8)]
    assert max(np.ptp(each) for each in same) < 1e-6
    firsts = [each[0] for each in same]
    assert np.ptp(firsts) > 0.3
    assert np.ptp(firsts) <= 0.6 + 1e-3


def test_a_cloud_goes_on_and_light_that_stands_still_is_as_it_was():
    read, true = stops_of("flicker=0.6", 30)
    assert read == pytest.approx(true, abs=0.01)
    assert stops_of("flicker=0")[0] == pytest.approx(stops_of("")[0], abs=1e-12)


@given(st.floats(0.0, 4.0), st.floats(40.0, 70.0), st.floats(1.0, 240.0), st.floats(-99.0, 99.0))
def test_light_swings_by_no_more_than_was_asked_for_and_is_1_in_the_mean(
    swing, mains, rate, opened
):
    lamps = Lamps(swing, mains)
    every = np.array([lamps.stops(0, rate, opened + n / 512 / 0.6180339887) for n in range(512)])
    assert np.ptp(every) <= swing + 1e-9
    assert np.ptp(every) == pytest.approx(swing, rel=0.01, abs=1e-9)
    assert np.mean(2.0**every) == pytest.approx(1.0, abs=1e-6)
