"""Stripes that a camera drew into the picture, and all that only looks like them."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.feeds.bench.feed import BenchFeed
from overlays.measure.suspicion.burnt_in import drawn_stripes
from overlays.measure.suspicion.suspected import Sign
from overlays.signal.frame import Frame
from overlays.signal.levels import luma_scale


def found(text):
    feed = BenchFeed(text, clock=HandClock(), pace=Pace.STEP)
    frame = feed.read(1.0)
    assert isinstance(frame, Frame)
    span = luma_scale(frame.signal).span * (1 << frame.shift)
    return drawn_stripes(frame.planes[0][::2, ::2], span)


@pytest.mark.parametrize("text", ["zebra=70", "zebra=60,signal=yuv422-10", "zebra=70,noise=3"])
def test_stripes_are_found_with_the_share_they_lie_on(text):
    said = found(text)
    assert said is not None
    assert said.sign is Sign.STRIPES
    assert 0.1 < said.share < 0.4  # areas that hold some: window, wall and cards


@pytest.mark.parametrize("text", ["", "exposure=3", "noise=6", "noise=0", "menu=yes", "blocks=yes"])
def test_the_bench_has_none_of_its_own(text):
    # Slanting shadows, marbled paper and the backs of books are no stripes that lean alike.
    assert found(text) is None


def test_an_edge_that_leans_is_no_stripe_and_neither_are_stripes_of_both_ways():
    rows, columns = np.indices((270, 480))
    edge = np.where(rows + columns > 400, 200.0, 30.0)
    assert drawn_stripes(edge, 219.0) is None
    one = np.where((rows + columns) // 4 % 2, 200.0, 30.0)
    other = np.where((rows - columns) // 4 % 2, 200.0, 30.0)
    assert drawn_stripes(one, 219.0) is not None
    assert drawn_stripes(np.where(rows > 128, one, other), 219.0) is None


@pytest.mark.parametrize(("turns", "drawn"), [(2, False), (3, False), (4, True), (5, True)])
def test_stripes_cross_an_area_four_times_at_least(turns, drawn):
    """What turns less often in 32 samples may be the edges of a thing."""
    rows, columns = np.indices((256, 256))
    along = ((rows - 16) % 32 + columns % 32) % 32  # each area's middle row begins anew
    stripes = np.where(along * (turns + 1) // 32 % 2, 200.0, 30.0)
    assert (drawn_stripes(stripes, 219.0) is not None) is drawn


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(1, 120), st.integers(1, 200))
def test_noise_of_any_size_is_none(seed, rows, columns):
    noise = np.random.default_rng(seed).normal(100.0, 40.0, (rows, columns))
    assert drawn_stripes(noise, 219.0) is None


@pytest.mark.parametrize(("times", "drawn"), [(2.5, False), (3.7, True)])
def test_stripes_lean_by_three_times_as_many_steps_across_as_along(times, drawn):
    """A wave of rows + a x columns steps by 1 + a on one diagonal, and 1 - a on the other."""
    rows, columns = np.indices((256, 256))
    wave = np.sin((rows + (times - 1.0) / (times + 1.0) * columns) * 1.3)
    assert (drawn_stripes(115.0 + 85.0 * wave, 219.0) is not None) is drawn
