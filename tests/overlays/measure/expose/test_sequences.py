"""Nominal settings against tests/reference/exposure.csv, whose every row names its source."""

import csv
import math

import pytest

from overlays.measure.expose.sequences import (
    APERTURE_NUMBERS,
    ISO_NUMBERS,
    SHUTTER_ANGLES_DEG,
    aperture,
    density,
    density_in_stops,
    iso,
    shutter_angle,
    shutter_time,
)
from tests.places import REFERENCE

TABLE = REFERENCE / "exposure.csv"


def rows(section):
    with TABLE.open() as file:
        return [row for row in csv.DictReader(file) if row["section"] == section]


@pytest.mark.parametrize("row", rows("iso"), ids=lambda row: row["nominal"])
def test_a_speed_is_what_it_stands_for(row):
    assert iso(float(row["nominal"])).stops == pytest.approx(float(row["stops"]), abs=5e-5)


@pytest.mark.parametrize("row", rows("f_or_T"), ids=lambda row: row["nominal"])
def test_an_aperture_is_what_it_stands_for(row):
    # The table counts stops of closing; a setting counts light.
    assert aperture(float(row["nominal"])).stops == pytest.approx(-float(row["stops"]), abs=5e-5)


@pytest.mark.parametrize("row", rows("nd"), ids=lambda row: row["nominal"])
def test_a_density_is_its_logarithm(row):
    assert density(float(row["nominal"])).stops == pytest.approx(float(row["stops"]), abs=5e-5)


@pytest.mark.parametrize("row", rows("shutter"), ids=lambda row: row["nominal"])
def test_a_shutter_angle_is_a_time(row):
    angle, _, _, rate, _ = row["nominal"].split()
    setting = shutter_angle(float(angle), float(rate))
    assert setting.seconds == pytest.approx(float(row["exact"]), abs=5.1e-7)
    half = shutter_angle(180.0, float(rate))
    assert setting.stops - half.stops == pytest.approx(float(row["stops"]), abs=5e-5)


def test_every_row_of_the_sequences_is_known():
    assert tuple(float(row["nominal"]) for row in rows("iso")) == ISO_NUMBERS
    assert tuple(float(row["nominal"]) for row in rows("f_or_T")) == APERTURE_NUMBERS
    angles = {float(row["nominal"].split()[0]) for row in rows("shutter")}
    assert angles == set(SHUTTER_ANGLES_DEG)


def test_f_5_6_is_five_stops_exactly():
    assert aperture(5.6).stops == -5.0
    assert aperture(2.8).stops - aperture(5.6).stops == 2.0


def test_a_number_between_the_marks_counts_for_itself():
    assert aperture(2.1, "T").stops == pytest.approx(-2.0 * math.log2(2.1))
    assert aperture(2.1, "T").label == "T2.1"
    assert iso(850).stops == pytest.approx(math.log2(8.5))


def test_a_time_is_what_it_says():
    assert shutter_time(1 / 50).label == "1/50 s"
    assert shutter_time(1 / 50).stops - shutter_time(1 / 100).stops == pytest.approx(1.0)
    assert shutter_time(0.5).label == "1/2 s"
    assert shutter_time(1.0).label == "1 s"
    assert shutter_time(1 / 33.37).label == "1/33.37 s"


def test_a_filter_marked_in_stops_is_exact():
    assert density_in_stops(2.0).stops == -2.0
    assert density_in_stops(2.0).value == "2 st"
    assert density(0.6).stops == pytest.approx(-1.9932, abs=5e-5)
    assert density(0.0).stops == 0.0
