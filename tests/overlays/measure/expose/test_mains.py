"""Flicker by arithmetic, against tests/reference/exposure.csv and against a sum over a wave."""

import csv
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.expose.mains import (
    Mains,
    fits_a_frame,
    flicker_note,
    flickers,
    motion_note,
    safe_seconds,
    swing_stops,
)
from tests.places import REFERENCE

TABLE = REFERENCE / "exposure.csv"


def safe_rows():
    with TABLE.open() as file:
        return [row for row in csv.DictReader(file) if row["section"] == "flicker_safe"]


@pytest.mark.parametrize("row", safe_rows(), ids=lambda row: row["nominal"] + row["exact"])
def test_whole_half_periods_are_safe(row):
    hertz, _, _, _, rate, _ = row["nominal"].split()
    mains = Mains(f"{hertz} Hz")
    found = safe_seconds(mains, float(rate))
    assert min(abs(each - float(row["exact"])) for each in found) < 5e-7
    assert not flickers(float(row["exact"]), mains)


def test_the_table_and_no_other_time_up_to_its_last():
    # The table stops at four half-periods.
    for nominal in {row["nominal"] for row in safe_rows()}:
        hertz, _, _, _, rate, _ = nominal.split()
        expected = [float(row["exact"]) for row in safe_rows() if row["nominal"] == nominal]
        found = safe_seconds(Mains(f"{hertz} Hz"), float(rate))
        assert found[: len(expected)] == pytest.approx(expected, abs=5e-7)
        assert len(expected) == min(4, len(found))


@given(st.floats(0.0005, 0.05), st.sampled_from([50.0, 60.0]))
def test_the_swing_is_that_of_a_wave_summed_up(seconds, hertz):
    starts = np.linspace(0.0, 0.5 / hertz, 101)
    within = (np.arange(4000) + 0.5) / 4000 * seconds
    light = 1.0 + np.cos(2 * math.pi * 2 * hertz * (starts[:, None] + within))
    means = light.mean(axis=1)
    summed = math.log2(means.max() / means.min())
    assert swing_stops(seconds, hertz) == pytest.approx(summed, rel=0.02, abs=1e-3)


@pytest.mark.parametrize(
    ("seconds", "mains", "bad"),
    [
        (1 / 50, Mains.HZ50, False),
        (1 / 50, Mains.HZ60, True),
        (1 / 60, Mains.HZ50, True),
        (1 / 59.94, Mains.HZ60, False),  # 180 deg at 29.97 frames a second: as good as 1/60
        (1 / 48, Mains.HZ50, True),
        (172.8 / 360 / 23.976, Mains.HZ50, False),
        (1 / 48, Mains.NONE, False),
        (1 / 48, Mains.UNKNOWN, False),
    ],
)
def test_shutters_everybody_knows(seconds, mains, bad):
    assert flickers(seconds, mains) is bad


def test_unknown_mains_are_named_both():
    assert "50 Hz and on 60 Hz" in flicker_note(1 / 1000, Mains.UNKNOWN)
    assert "60 Hz" in flicker_note(1 / 50, Mains.UNKNOWN)
    assert "50 Hz" not in flicker_note(1 / 50, Mains.UNKNOWN)
    assert flicker_note(1 / 20, Mains.UNKNOWN) is None
    assert flicker_note(1 / 1000, Mains.NONE) is None


def test_a_frame_is_the_longest_exposure():
    assert fits_a_frame(1 / 24, 23.976)
    assert not fits_a_frame(1 / 24, 25.0)
    assert fits_a_frame(10.0, None)


def test_motion_is_spoken_of_where_it_changes():
    assert "0.5 times" in motion_note(1 / 50, 1 / 100)
    assert "softer" in motion_note(1 / 50, 1 / 25)
    assert motion_note(1 / 50, 1 / 48) is None
