"""A few of the sweep's pictures, by a seed; `python -m tests.headroom_sweep` looks at all."""

import random
from dataclasses import replace

import pytest

from overlays.wording.reasons import Reason
from tests.asking import printed
from tests.headroom_sweep import Seen, bench_cases, has_pm, on_bench, on_pictures

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


def test_what_is_suspect_in_two_channels_is_so_in_the_third_on_the_same_level():
    # Found by the sweep: a lamp at that level in R alone was told to have 4.1 stops left.
    options = "exposure=1,cloud=0,signal=nv12,size=1920x1080,seed=2,noise=0,clip=4"
    seen = on_bench("log-v", options)
    assert (seen.clipped, seen.found.headroom_stops) == ("RGB", None)


def test_the_sample_holds_clipped_pictures_and_others():
    kinds = {bool(on_bench(*case).clipped) for case in SAMPLE}
    assert kinds == {True, False}


def test_what_is_wrong_is_seen():
    seen = on_bench(*SAMPLE[0])
    assert Seen("", "R", seen.found).is_wrong is (seen.found.headroom_stops not in {0.0, None})


def test_a_pm_on_clipped_light_is_wrong_and_so_are_absurd_stops():
    case = next(case for case in SAMPLE if on_bench(*case).over)
    seen = on_bench(*case)
    (spot, *_), name = seen.over, case[1]
    not_clipped = {"clipped": 0.0, "clipped_rgb": (0.0, 0.0, 0.0)}
    as_405a108 = replace(spot, stops_pm=0.01, may_clip="", **not_clipped)
    assert not seen.is_wrong
    assert Seen(name, seen.clipped, seen.found, (as_405a108,)).is_wrong
    doubted = replace(spot, stops_pm=0.01, percent_pm=0.1, may_clip="R", **not_clipped)
    assert not Seen(name, seen.clipped, seen.found, (doubted,)).is_wrong  # it let go of its ±
    assert Seen(name, seen.clipped, seen.found, (replace(spot, stops=-58.0),)).is_wrong


def test_where_one_picture_cannot_tell_a_ceiling_from_a_thing_there_is_no_pm():
    # 1020 of 8524 spots had one beside the word that they may be clipped.
    options = "exposure=0,cloud=0,signal=uyvy,size=640x360,seed=2,noise=0"
    seen = on_bench("log-s3", options)
    doubted = [spot for spot in seen.over if spot.may_clip and not spot.hides_light]
    assert doubted
    for spot in doubted:
        assert (spot.stops_pm, spot.percent_pm) == (None, None)
        assert spot.unknown is Reason.PERHAPS_CLIPPED
        each = zip("RGB", spot.rgb_stops_pm, strict=True)
        assert all(pm is None for name, pm in each if name in spot.may_clip)
        assert any("may be clipped by the camera" in said for said in spot.warnings)


def test_the_pictures_of_known_truth_have_none(scenes):
    seen = list(on_pictures(scenes))
    assert seen
    assert all(len(each.over) >= 6 for each in seen)
    assert all(each.clipped == "RGB" and not each.is_wrong for each in seen)


@pytest.mark.parametrize("command", ["read", "expose", "pins", "balance", "watch"])
def test_no_command_tells_a_pm_of_what_may_be_clipped(command):
    feed = "bench:size=640x360,noise=0,cloud=0,rate=5"
    more = {"seconds": 2.0} if command == "watch" else {}
    at = "128,48,16" if command in {"expose", "balance"} else ("128,48,16",)
    said = printed(command, feed=feed, profile="log-s3", at=at, **more)
    assert "clipped by the camera" in said
    of_spot = [line for line in said.splitlines() if "+6.02" in line]
    assert not any("±" in line.replace("target 0 st ±", "") for line in of_spot)


def test_a_pm_on_light_that_is_clipped_in_part_is_wrong():
    options = "exposure=0,cloud=0,signal=uyvy,size=640x360,seed=2,noise=0"
    seen = on_bench("log-s3", options)
    spot = next(spot for spot in seen.part if spot.may_clip and not spot.clipped)
    assert not any(has_pm(each) for each in seen.part)
    as_before = replace(replace(spot, may_clip=""), stops_pm=0.02)
    assert Seen("", seen.clipped, seen.found, (), (as_before,)).is_wrong
