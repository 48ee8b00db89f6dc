"""Codes of a curve as delivered, against tests/reference/curves.csv and plain arithmetic."""

import csv
from dataclasses import replace

import numpy as np
import pytest

from overlays.measure.feedcheck.delivery import RANGES, Delivery, deliveries
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.signal import Range
from tests.places import REFERENCE

with (REFERENCE / "curves.csv").open() as file:
    ROWS = list(csv.DictReader(file))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['curve']} {row['carriage']}")
def test_codes_of_black_grey_and_white_are_those_of_the_published_tables(row):
    found = Delivery(published_curve(row["curve"]), Carriage(row["carriage"]), Range.LIMITED)
    codes = found.codes(np.array([0.0, 0.18, 0.90]), 10)
    wanted = np.clip([float(row[f"cv10_{n}"]) for n in ("000", "018", "090")], 4, 1019)
    # 64/1023 and 876/1023 stand in the file with two decimals of a code.
    assert codes == pytest.approx(wanted, abs=0.02)


def squeezed(code):
    return 64.0 + 876.0 * code / 1023.0


def test_squeezing_and_stretching_are_those_of_whole_scales():
    light = np.array([0.05, 0.18, 1.0])
    here = Delivery(published_curve("S-Log3"), Carriage.FULL, Range.LIMITED)
    codes = here.codes(light, 10)
    by = {each: replace(here, range=each).codes(light, 10) for each in RANGES}
    assert by[Range.SQUEEZED] == pytest.approx(squeezed(codes))
    assert by[Range.SQUEEZED_TWICE] == pytest.approx(squeezed(squeezed(codes)))
    assert by[Range.STRETCHED] == pytest.approx((codes - 64.0) * 1023.0 / 876.0)
    assert by[Range.FULL] == pytest.approx(codes)


def test_names_that_read_greys_alike_are_known_as_that():
    curve = published_curve("V-Log")
    limited = Delivery(curve, Carriage.FULL, Range.LIMITED)
    assert limited.alike == Delivery(curve, Carriage.FULL, Range.FULL).alike
    assert limited.alike == Delivery(curve, Carriage.NARROW, Range.STRETCHED).alike
    assert limited.alike != Delivery(curve, Carriage.NARROW, Range.LIMITED).alike
    squeezed_full = Delivery(curve, Carriage.FULL, Range.SQUEEZED)
    assert squeezed_full.alike == Delivery(curve, Carriage.NARROW, Range.LIMITED).alike


def test_every_curve_is_there_in_every_carriage_and_range():
    every = deliveries()
    named = {each.curve.name for each in every}
    assert {published_curve(row["curve"]).name for row in ROWS} <= named
    for name in named:
        assert {(e.carriage, e.range) for e in every if e.curve.name == name} >= {
            (carriage, each) for carriage in Carriage for each in RANGES if each is not Range.FULL
        }
    assert len(set(every)) == len(every)


def test_a_curve_of_ones_own_is_a_hypothesis_too():
    own = replace(published_curve("V-Log"), name="of my own")
    assert any(each.curve == own for each in deliveries((own,)))
    assert len(deliveries((own,))) > len(deliveries())


def test_stops_are_the_way_back():
    here = Delivery(published_curve("HLG"), Carriage.NARROW, Range.SQUEEZED)
    code = float(here.codes(np.array([0.36]), 8)[0])
    assert here.stops(code, 8) == pytest.approx(1.0, abs=1e-6)
