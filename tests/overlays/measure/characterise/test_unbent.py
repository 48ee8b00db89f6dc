"""What noise before the curve did is taken back, and where all samples tell more, that is taken."""

import functools
from dataclasses import replace

import numpy as np
import pytest

from overlays.measure.characterise.bracket_steps import judged_steps
from overlays.measure.characterise.known import KnownEnd
from overlays.measure.characterise.unbent import unbent, width_of
from overlays.signal.published import published_curve
from overlays.signal.signal import Signal
from tests.bench.cameras import of_seen
from tests.made_cameras import SCENE_READ, made_camera, of_electrons, read_card, seen_camera

STEEP = ("HLG", "PQ", "BT.1886", "BT.470 M")
EIGHT = Signal(8)


@functools.cache
def cameras():
    """One each of the curves that are steep at black, at 8 bits, with noise not used elsewhere."""
    return {c: seen_camera(c, 8, 192, seed) for seed, c in enumerate(STEEP, 91)}


def unbent_of(made, cap=None):
    steps = [s for s in judged_steps(made.bracket, made.clip, EIGHT) if s.is_used]
    return unbent(cap or made.cap, steps, EIGHT), steps


@pytest.mark.parametrize("curve", STEEP)
def test_at_eight_bits_a_curve_that_is_steep_at_black_is_known_from_its_floor_on(curve):
    """`tests/bench/open_bounds.py`: there the samples leave 0.02 to 0.03 stop open."""
    made = cameras()[curve]
    found = made.found()
    assert found.known.from_stops <= found.floor_stops + 1.0 / 3.0
    assert found.known.end in {KnownEnd.NONE, KnownEnd.SAMPLES}
    assert abs(found.floor_stops - made.floor()) <= 1.0 / 3.0
    levels = np.linspace(found.floor_stops, made.clip_stops - 0.1, 200)
    off = np.abs(np.asarray(found.fit.curve.value_to_stops(made.values(levels))) - levels)
    assert off.max() <= 0.03
    assert np.mean(off <= [found.pm_at(each) for each in levels]) >= 0.9


def test_over_cameras_its_half_width_covers_the_levels():
    found = of_seen(8, 192, 1, first=95, curves=STEEP)
    assert len(found.covered) == len(STEEP)
    assert np.mean(found.covered) >= 0.95
    assert max(found.known) <= 0.03


@pytest.mark.parametrize("electron", [0.0002, 0.0004], ids=["900", "450"])
def test_of_a_sensor_that_counts_electrons_what_is_said_holds(electron):
    """So many at mid-grey, with read noise: of the fewer nothing is told by all samples at once."""
    counted = of_electrons(electron, SCENE_READ)
    found = of_seen(8, 192, 1, first=7, sensor=counted, curves=("HLG", "PQ"))
    assert np.mean(found.covered) >= 0.95
    assert max(found.known) <= 0.03


def test_steps_of_light_alone_lie_on_the_curve_once_noise_is_taken_back():
    made = cameras()["HLG"]
    found, steps = unbent_of(made)
    stops = np.array([step.stops for step in steps])
    true = np.asarray(published_curve("HLG").stops_to_value(stops)) * 219.0 + 16.0
    read, told = (np.array([s.reading.code for s in each]) for each in (steps, found.steps))
    dark = stops < -5.0
    assert np.abs(read - true)[dark].max() > 1.3
    assert np.abs(told - true)[dark].max() < 0.12
    assert [step.stops for step in found.steps] == stops.tolist()
    assert found.bent.codes == pytest.approx(read - told)


def test_where_no_samples_were_counted_what_they_would_tell_stays_open():
    made = cameras()["HLG"]
    surer, _ = unbent_of(made)
    uncounted, _ = unbent_of(made, replace(made.cap, tally=None))
    assert uncounted.lies.pm_stops[3] > 3.0 * surer.lies.pm_stops[3]


def test_of_noise_after_the_curve_nothing_is_taken_back():
    made = made_camera("HLG", 8, 1.2)
    found, steps = unbent_of(made)
    assert found.bent.share < 0.25
    moved = [a.reading.code - b.reading.code for a, b in zip(steps, found.steps, strict=True)]
    assert np.abs(moved).max() <= np.max(found.bent.pm)


@pytest.mark.parametrize("curve", ["HLG", "LogC4"])
def test_behind_denoising_readings_through_the_curve_that_is_found_hold(curve):
    """A camera that sends the mean of four frames behind its curve, as denoising does.

    What it sends of light is no longer what its published curve makes of that: of HLG it lies up to
    half a stop beside it in the dark. What is found is the curve of the pictures that come.
    """
    made = seen_camera(curve, 8, 192, 5, frames=4)
    found = made.found()
    levels = np.arange(max(found.floor_stops, -8.5), 0.0, 0.75)
    by_found, by_published = (
        [read_card(made, level, each, 905, frames=4) for level in levels]
        for each in (found.fit.curve, published_curve(curve))
    )
    for level, spot in zip(levels, by_found, strict=True):
        assert spot.stops is not None
        assert abs(spot.stops - level) <= np.hypot(spot.stops_pm, found.pm_at(level))
        assert abs(spot.stops - level) <= 0.05 or level < found.known.from_stops
    if curve == "HLG":
        assert abs(by_published[0].stops - levels[0]) > 0.3


def test_a_width_of_codes_is_one_wherever_it_lies():
    ten = Signal(10)
    assert 1023.0 * width_of(4.0, ten) == pytest.approx(4.0)
    assert width_of(1.0, EIGHT) == pytest.approx(width_of(4.0, ten))
