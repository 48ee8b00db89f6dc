"""Dark steps told by all of their samples: where they agree, and where nothing is told."""

import functools
from dataclasses import replace

import numpy as np
import pytest

from overlays.measure.characterise.dark_told import dark_told
from tests.made_cameras import (
    SCENE_READ,
    cut_at_black,
    of_electrons,
    of_scenes,
    scene_noise,
    seen_camera,
    with_tails,
)

CODES = 255.75
"""Of 8 bits, to a value of 1 on the whole code scale."""


def shared_noise(light, shape, rng):
    """The noise of the pictures of known truth, the same in all channels."""
    return light + np.broadcast_to(rng.normal(size=shape[1:]) * scene_noise(light), shape)


def partly_shared(light, shape, rng):
    """Half of its variance in all channels alike."""
    alike = np.broadcast_to(rng.normal(size=shape[1:]), shape)
    return light + (alike + rng.normal(size=shape)) * scene_noise(light) / np.sqrt(2.0)


@functools.cache
def camera(curve, sensor=of_scenes, seed=51, edge=128):
    """A made camera of 8 bits: cap, steps below the clip."""
    made = seen_camera(curve, 8, edge, seed, sensor=sensor)
    return made, [each for each in made.bracket if each[0] < -2.0]


def told(made, bracket, cap=None):
    """What is told, beginning with levels that are 0.1 stop off."""
    stops = np.array([each for each, _ in bracket])
    levels = made.values(stops + 0.1) * CODES
    sizes = 1.1 * scene_noise(0.18 * 2.0**stops)
    return dark_told(cap or made.cap, bracket, sizes, levels, 1, 1)


STEEP = ("HLG", "PQ", "BT.1886", "BT.470 M")


def test_codes_without_noise_are_told_within_what_is_said():
    """Of curves that are steep at black."""
    away, blacks = [], []
    for seed, curve in enumerate((*STEEP, "HLG"), 51):
        made, bracket = camera(curve, seed=seed)
        found = told(made, bracket)
        assert found is not None
        stops = np.array([each for each, _ in bracket[: len(found.codes)]])
        true = made.values(stops) * CODES
        away.append(np.abs(found.codes - true) / found.pm)
        blacks.append(abs(found.black - 16.0) / found.black_pm)
        # Down to where light is as large as noise it is within hundredths of a stop (128 pixels).
        slope = np.gradient(true, stops)
        assert (found.pm / slope)[stops > made.floor()].max() < 0.04
        read = np.array([reading.code for _, reading in bracket[: len(stops)]])
        assert np.abs(read - true).max() > 15.0 * np.abs(found.codes - true).max()
    assert np.mean(np.concatenate(away) <= 1.0) >= 0.93
    assert np.concatenate(away).max() < 1.7
    assert max(blacks) < 1.5


@pytest.mark.parametrize(
    "sensor",
    [cut_at_black, with_tails, of_electrons(0.002, SCENE_READ), shared_noise, partly_shared],
    ids=["cut", "tails", "few-electrons", "shared", "partly-shared"],
)
@pytest.mark.parametrize("curve", ["HLG", "V-Log"])
def test_of_another_noise_nothing_is_told(curve, sensor):
    assert told(*camera(curve, sensor)) is None


def test_of_too_few_steps_too_far_apart_or_not_counted_nothing_is_told():
    made, bracket = camera("HLG")
    assert told(made, bracket[:5]) is None
    assert told(made, bracket[::2]) is None
    uncounted = [(stops, replace(reading, tally=None)) for stops, reading in bracket]
    assert told(made, uncounted) is None
    assert told(made, bracket, replace(made.cap, tally=None)) is None


def test_noise_that_lies_within_a_code_tells_nothing():
    """A dark end of LogC4 has two thirds of a code of it at 8 bits."""
    assert told(*camera("LogC4")) is None


def test_steps_that_are_set_off_tell_nothing():
    made, bracket = camera("HLG")
    off = np.random.default_rng(8).uniform(-1.0 / 6.0, 1.0 / 6.0, len(bracket))
    moved = [(stops + by, reading) for (stops, reading), by in zip(bracket, off, strict=True)]
    assert told(made, moved) is None
