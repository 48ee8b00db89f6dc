"""Made cameras of every published curve: curve, clip, floor come back, mis-set steps are named."""

import csv
import functools
import json
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.clock import HandClock
from firmware.instruments.asking import Opener, Wanted
from firmware.opening.overrides import Overrides
from overlays.errors import TooFewStepsError
from overlays.measure.characterise import camera_found
from overlays.measure.characterise.bracket_steps import Step
from overlays.measure.characterise.camera_found import characterised
from overlays.measure.feedcheck.readings import (
    CodeReading,
    Tally,
    What,
    reading_of_clip,
    reading_of_spot,
)
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve, published_curves
from overlays.signal.signal import Range, Signal
from tests.bench.cameras import of_seen, of_way
from tests.made_cameras import DARKEST, THIRD, made_camera
from tests.made_feeds import Way, readings_of, value_of
from tests.places import REFERENCE, SCENES


def camera(curve, bits, noise=0.5, misset=None):
    """What is found of a made camera, and where it truly clips; noise in codes of 8 bits."""
    made = made_camera(curve, bits, noise, misset=misset)
    return made.found(), made.clip_stops


@pytest.mark.parametrize("bits", [8, 10])
@pytest.mark.parametrize("curve", [each.name for each in published_curves()])
def test_curve_clip_and_floor_come_back(curve, bits):
    made = made_camera(curve, bits, 0.5)
    found, clip, floor = made.found(), made.clip_stops, made.floor()
    lowest = max(floor, DARKEST) + 1.0
    stops = np.arange(lowest, clip - 0.2, 0.1)
    value = np.array([value_of(curve, 0.18 * 2.0**s) for s in stops])
    if published_curve(curve).carriage is Carriage.NARROW:
        value = (64.0 + 876.0 * value) / 1023.0
    carried = value > 0.015  # below it the lowest code cuts noise off
    off = np.abs(np.asarray(found.fit.curve.value_to_stops(value)) - stops)[carried]
    sure = np.array([found.pm_at(each) for each in stops])[carried]
    assert (off <= 0.03 + sure).all()
    assert np.median(off) <= found.curve_pm_stops
    assert abs(found.clip_stops - clip) <= min(THIRD, 3.0 * found.clip_stops_pm)
    assert found.outliers == ()
    assert found.nearest[0].rms_stops < 0.1
    if found.floor_stops is not None and curve not in {"ACEScc", "DaVinci Intermediate", "sRGB"}:
        assert abs(found.floor_stops - floor) <= THIRD
    if floor > DARKEST:
        assert found.floor_stops is not None
    if curve not in {"ACEScc", "sRGB", "DaVinci Intermediate"}:  # their dark end is cut off
        assert found.nearest[0].curve == curve


@pytest.mark.parametrize("at", [-4.0, -1.0 / 3.0, 2.0])
@pytest.mark.parametrize("off", [THIRD, -THIRD, 0.2])
def test_a_step_that_was_mis_set_is_named_and_left_out(at, off):
    stops = min(np.arange(DARKEST, 3.0, THIRD), key=lambda s: abs(s - at))
    found, _ = camera("V-Log", 10, misset=(float(stops), off))
    (named,) = found.outliers
    assert named.stops == pytest.approx(stops)
    assert named.off_stops == pytest.approx(-off, abs=0.05)
    assert found.nearest[0].curve == "V-Log"


@pytest.mark.parametrize(("moved", "is_told"), [(0.3, True), (0.42, False)])
def test_a_published_curve_is_held_against_steps_a_third_of_a_stop_away_and_no_farther(
    moved, is_told
):
    """A lens marked in T and set a little off, say: what is farther off is another curve."""
    stops = np.arange(-6.0, 4.0)
    values = np.asarray(published_curve("V-Log").stops_to_value(stops + moved))
    steps = [
        Step(float(s), CodeReading(1023.0 * v, 0.1), float(v))
        for s, v in zip(stops, values, strict=True)
    ]
    near = {each.curve: each for each in camera_found._nearest(steps, Signal(10))}
    assert ("V-Log" in near) == is_told
    if is_told:
        assert near["V-Log"].shift_stops == pytest.approx(moved, abs=0.01)


def test_parameters_are_those_of_a_log_curve_where_they_fit():
    """Log parameters of the Common LUT Format: tests/reference/clf.csv holds V-Log's."""
    with (REFERENCE / "clf.csv").open() as file:
        rows = [row for row in csv.DictReader(file) if row["curve"] == "V-Log"]
    assert rows
    found, _ = camera("V-Log", 10, noise=0.2)
    p = found.fit.parameters
    assert p is not None
    # V-Log: 0.241514 log10(x + 0.00873) + 0.598206 (V-Log/V-Gamut Reference Manual).
    assert p.log_side_slope == pytest.approx(0.241514 * np.log10(2.0), rel=0.02)
    assert p.lin_side_offset == pytest.approx(0.00873, rel=0.15)


def test_too_few_steps_are_refused():
    cap, clip = CodeReading(64.0, 0.3), CodeReading(940.0, 1.0)
    steps = [(float(n), CodeReading(400.0 + 70.0 * n, 0.3)) for n in range(3)]
    with pytest.raises(TooFewStepsError, match="at least 5"):
        characterised(cap, steps, clip, Signal(10))


@pytest.mark.skipif(not SCENES.is_dir(), reason="needs the pictures of known truth")
@pytest.mark.parametrize("name", ["s03-wedge36-10.mkv", "s03-wedge36-8.mkv"])
def test_the_real_wedge_is_read_and_its_curve_found(name):
    """Of 36 steps of known light those that the sensor holds; no densities of it are published."""
    clips = json.loads((SCENES / "truth.json").read_text())["clips"]
    clip = next(c for c in clips if any(f["file"] == name for f in c["files"]))
    patches = [p for p in clip["patches"] if max(p["raw_clipped_rggb"]) == 0.0]
    opener = Opener(HandClock())
    wanted = Wanted(str(SCENES / name), "log-s3", Overrides(range=Range.LIMITED))
    bracket = []
    with opener.scene(wanted) as scene:
        top = reading_of_clip(scene.census, scene.yard)
        for patch in patches:
            x, y = patch["x"] + patch["w"] // 2, patch["y"] + patch["h"] // 2
            spot = scene.read(SpotPlace(x, y, 2 * (min(patch["w"], patch["h"]) // 2)))
            bracket.append((patch["stops_of_luma"], reading_of_spot(spot, scene.yard)))
        signal = scene.frame.signal
    black = min((reading for _, reading in bracket), key=lambda each: each.code)
    dark = published_curve("S-Log3").encode(0.0) * ((1 << signal.bits) - 1)
    cap = CodeReading(dark, 1.0, black.noise)
    found = characterised(cap, bracket, top, signal)
    assert found.nearest[0].curve == "S-Log3"
    assert found.nearest[0].rms_stops < 0.01
    assert abs(found.nearest[0].shift_stops) < 0.01
    assert found.outliers == ()
    # The steps at raw full scale lie at +3.06 by their luma (truth.json, w01).
    assert abs(found.clip_stops - 3.06) < THIRD
    # Its darkest step is still lighter than its noise: the floor is not known, and said not to be.
    assert found.floor_stops is None
    assert found.usable_stops == pytest.approx(found.clip_stops + 4.06, abs=0.01)


def test_on_full_range_a_curve_is_weighed_once_as_it_is_published():
    rng = np.random.default_rng(2)
    way = Way(10, published_curve("V-Log").carriage, Range.FULL, 0.5)

    def read(what, stops):
        light = 0.0 if stops is None else 0.18 * 2.0**stops
        return readings_of("V-Log", way, {what: light}, rng)[what]

    bracket = [(float(s), read(What.CARD, s)) for s in np.arange(-6.0, 4.0, THIRD)]
    found = characterised(
        read(What.CAP, None), bracket, read(What.CLIP, 5.0), Signal(10, Range.FULL)
    )
    assert found.nearest[0].curve == "V-Log"
    assert found.nearest[0].rms_stops < 0.03
    names = [near.curve for near in found.nearest]
    assert len(names) == len(set(names))
    assert all(near.carriage is published_curve(near.curve).carriage for near in found.nearest)


@pytest.mark.parametrize(("bits", "noise"), [(8, 0.0), (8, 0.2), (8, 0.6)])
def test_how_sure_a_curve_is_said_to_be_at_a_level_holds(bits, noise):
    """Of all levels of all curves, down to the floor; and where 0.03 st is said, it is within."""
    found = of_way(bits, noise, seeds=1)
    assert len(found.worst) >= 24
    assert np.mean(found.covered) >= 0.95
    assert min(found.covered) >= 0.9
    assert found.clips == 0
    assert np.mean(found.beyond) <= 0.005
    assert np.mean(found.told) >= (0.1 if noise == 0.0 else 0.75)
    assert np.mean(np.array(found.floors) > THIRD) <= 0.16
    assert np.mean(found.floors_covered) >= 0.9


SEEN = {bits: functools.cache(functools.partial(of_seen, bits, 192, seeds=1)) for bits in (8, 10)}
"""Cameras of every curve with the noise of the pictures of truth, made once."""


@pytest.mark.parametrize("bits", [8, 10])
def test_with_the_noise_of_the_pictures_of_truth_a_curve_comes_back_within_hundredths(bits):
    """Their truth.json: 0.0008 and 0.0004, before the curve.

    At the floor itself, where noise is as large as light, what a camera makes of less than no light
    is left open where a link cuts it off, or 8 bits show too little of it.
    """
    found = SEEN[bits]()
    assert len(found.worst) == 23
    assert found.refused == 0
    assert max(found.lit) <= 0.03
    assert min(found.near) >= 0.94
    assert np.mean(found.near) >= 0.985
    assert max(found.worst) <= 0.08
    assert min(found.covered) >= 0.85
    assert np.mean(found.covered) >= 0.95
    assert found.clips == 0
    assert len(found.floors) == 23
    assert max(found.floors) <= THIRD


@pytest.mark.parametrize("bits", [8, 10])
def test_over_all_that_a_curve_is_said_to_be_known_it_is_within_hundredths(bits):
    """Every published curve, none left out.

    Three have their black at the lowest code that a limited link carries, or under it: they are
    known as far as noise stays clear of that code.
    """
    found = SEEN[bits]()
    assert max(found.known) <= 0.03
    assert found.nowhere == []
    assert len(found.known) == len(published_curves())
    # And that is no empty claim: most are known down to a step of the floor.
    from_floor = sum(short <= THIRD for short in found.short.values())
    assert from_floor >= 17
    assert np.mean(list(found.short.values())) <= 0.5


@cache
def without_noise(curve):
    """A camera and what is found of it, once."""
    made = made_camera(curve, 8, 0.0)
    return made, made.found()


NO_NOISE = ("V-Log", "BT.709", "Canon Log")


@given(
    which=st.sampled_from(NO_NOISE),
    level=st.floats(-8.0, 2.5),
    wide=st.floats(1.0, 3.0),
)
def test_without_noise_it_is_never_surer_than_the_codes_allow(which, level, wide):
    """Another camera, faster by some stops about a level, may send the very same codes.

    Then half of what lies between the fastest and the slowest of such is the least that a ± may be:
    at 8 bits without noise steps of codes in the dark are wider than 0.03 stop.
    """
    made, found = without_noise(which)
    steps = np.array([stops for stops, _ in made.bracket if stops < made.clip_stops])

    def codes(by):
        moved = steps + by * np.exp(-0.5 * ((steps - level) / wide) ** 2)
        return np.rint(np.clip(made.values(moved) * 1023.0 / 4.0, 1.0, 254.0))

    tried = np.geomspace(0.002, 0.5, 60)
    least = 0.0
    for sign in (-1.0, 1.0):
        same = [np.array_equal(codes(sign * by), codes(0.0)) for by in tried]
        least += 0.5 * float(tried[np.argmin(same) - 1]) if same[0] and not all(same) else 0.0
    assert found.pm_at(max(level, found.sure[0][0])) >= least


def test_in_the_dark_of_eight_bits_without_noise_no_hundredths_are_claimed():
    found = [without_noise(curve)[1] for curve in NO_NOISE]
    dark = [each.pm_at(each.sure[0][0] + 0.5) for each in found]
    assert min(dark) > 0.03


def test_content_of_eight_bits_in_codes_of_ten_is_read_as_eight_bits():
    """Every code times four: rounding is then four codes wide."""
    eight = made_camera("V-Log", 8, 0.2)

    def times_four(reading):
        tally = reading.tally
        counts = np.zeros(4 * len(tally.counts) - 3, int)
        counts[::4] = tally.counts
        made = Tally(4 * tally.first, tuple(map(int, counts)), tally.independent)
        code, pm, noise = 4.0 * reading.code, 4.0 * reading.code_pm, 4.0 * reading.noise
        return replace(reading, code=code, code_pm=pm, noise=noise, tally=made)

    bracket = [(stops, times_four(reading)) for stops, reading in eight.bracket]
    clip = CodeReading(4.0 * eight.clip.code, 4.0 * eight.clip.code_pm)
    ten = characterised(times_four(eight.cap), bracket, clip, Signal(10))
    found = eight.found()
    assert [pm for _, pm in ten.sure] == pytest.approx([pm for _, pm in found.sure], rel=0.05)
    assert ten.floor_stops == pytest.approx(found.floor_stops, abs=0.02)


def test_it_is_least_sure_where_a_code_is_worth_most_light():
    found, _ = camera("BT.709", 8, noise=0.3)
    stops, half = found.least_sure
    assert stops < -4.0
    assert half > 5.0 * found.curve_pm_stops
    assert found.pm_at(stops) == half
    darkest, half = found.sure[0]
    assert found.pm_at(darkest - 1.0) == pytest.approx(2.0 * half)
    assert found.pm_at(20.0) == found.sure[-1][1]


@cache
def noisy():
    """Cameras with noise; each found without scatter."""
    made = [made_camera(curve, 8, 0.6) for curve in ("V-Log", "BT.709", "HLG", "LogC4")]
    assert [each.found().scatter_stops for each in made] == [0.0] * len(made)
    return made


@pytest.mark.parametrize("most", [0.035, 0.09, 1.0 / 6.0])
def test_steps_that_flicker_or_are_set_a_little_off_make_a_curve_that_is_less_sure(most):
    """Each off by up to so much; shutters and irises by a sixth (common practice, no source)."""
    rng, covered = np.random.default_rng(3), []
    for made in noisy():
        off = rng.uniform(-most, most, len(made.bracket))
        moved = [(s + by, reading) for (s, reading), by in zip(made.bracket, off, strict=True)]
        found = replace(made, bracket=moved).found()
        assert 0.0 < found.scatter_stops < 2.0 * most
        levels = np.linspace(max(found.darkest, found.floor_stops or -20.0), made.clip_stops, 60)
        read = np.asarray(found.fit.curve.value_to_stops(made.values(levels)))
        covered.append(np.abs(read - levels) <= [found.pm_at(each) for each in levels])
    assert np.mean(covered) >= 0.95
