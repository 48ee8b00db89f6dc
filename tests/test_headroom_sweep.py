"""A few of the sweep's pictures, by a seed; `python -m tests.headroom_sweep` looks at all."""

import random

import pytest

from tests.headroom_sweep import Seen, bench_cases, on_bench, on_pictures

SAMPLE = random.Random(11).sample([case for case in bench_cases() if "640x360" in case[1]], 16)


@pytest.mark.parametrize(("name", "text"), SAMPLE)
def test_the_bench_has_no_headroom_where_a_channel_is_clipped(name, text):
    seen = on_bench(name, text)
    assert not seen.is_wrong, (seen.clipped, seen.found.headroom_stops)


def test_overshoot_at_the_edge_of_a_doubtful_pile_is_no_brighter_thing():
    # Found by the sweep: a fringe of single tiles a tenth of a stop above it had 2.2 stops left.
    options = "exposure=0,cloud=0,signal=nv12,size=640x360,seed=2,noise=0,kelvin=3200"
    seen = on_bench("log-v", options)
    assert (seen.clipped, seen.found.headroom_stops) == ("RGB", None)
    assert seen.found.brightest.stops == pytest.approx(6.0, abs=0.05)


def test_the_sample_holds_clipped_pictures_and_others():
    kinds = {bool(on_bench(*case).clipped) for case in SAMPLE}
    assert kinds == {True, False}


def test_what_is_wrong_is_seen():
    seen = on_bench(*SAMPLE[0])
    assert Seen("", "R", seen.found).is_wrong is (seen.found.headroom_stops not in {0.0, None})


def test_the_pictures_of_known_truth_have_none(scenes):
    seen = list(on_pictures(scenes))
    assert seen
    assert all(each.clipped == "RGB" and not each.is_wrong for each in seen)
