"""Frames that a grabber blends of two, and cameras' own that are like their neighbours."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.measure.suspicion.blends import Blends
from overlays.measure.suspicion.suspected import Sign


def watched(is_blend, count=60, noise=4.0, still=0.0, skipped=0):
    """What is said after frames of noise of which some are the mean of those beside them."""
    rng = np.random.default_rng(7)
    level = rng.uniform(40.0, 200.0, (6, 320))
    own = [np.rint(level + still * n + rng.normal(0.0, noise, level.shape)) for n in range(count)]
    sent = [
        np.floor((own[n - 1] + own[n + 1] + 1.0) / 2.0)
        if 0 < n < count - 1 and is_blend(n)
        else own[n]
        for n in range(count)
    ]
    blends = Blends()
    for number, rows in enumerate(sent):
        if not skipped or number % skipped:
            blends.see(number, rows.astype(np.float32))
    return blends.suspicion()


@pytest.mark.parametrize("every", [2, 3, 5])
def test_an_even_blend_is_found_with_its_share(every):
    said = watched(lambda n: n % every == every - 1)
    assert said is not None
    assert said.sign is Sign.BLENDS
    assert said.share == pytest.approx(1.0 / every, abs=0.05)


def test_a_cameras_own_frames_are_none():
    assert watched(lambda _: False) is None
    assert watched(lambda _: False, noise=0.0) is None  # every frame is the mean of its neighbours
    assert watched(lambda _: False, noise=0.3, still=1.0) is None  # light that creeps


def test_frames_that_are_passed_over_say_nothing():
    assert watched(lambda n: n % 5 == 4, skipped=2) is None


@settings(max_examples=25, deadline=None)
@given(st.lists(st.booleans(), min_size=20, max_size=60), st.floats(0.0, 8.0))
def test_whatever_comes_shares_are_shares(pattern, noise):
    said = watched(lambda n: pattern[n], count=len(pattern), noise=noise)
    assert said is None or 0.0 < said.share <= 0.6
