"""Which chart is meant, and what of a file is refused."""

import csv
from dataclasses import replace

import numpy as np
import pytest

from firmware.errors import ArgumentError
from firmware.instruments.chart import ChartOptions
from firmware.instruments.chart.reference import load_reference, read_any, references_of
from overlays.errors import ChartFileError, ChartNotFoundError, ChartTurnedError
from overlays.measure.chart.chart import Scaling
from overlays.measure.chart.find import find_chart
from overlays.measure.chart.place import Corners, in_order
from overlays.measure.chart.reference import BENCH_CHART, BUILT_IN
from tests.asking import asked
from tests.places import REFERENCE

BENCH = "bench:size=960x540,signal=yuv444-10"
TEXT = """CGATS.17
ILLUMINANT "C"
BEGIN_DATA_FORMAT
SAMPLE_ID XYY_X XYY_Y XYY_CAPY
END_DATA_FORMAT
BEGIN_DATA
{rows}
END_DATA
"""


@pytest.fixture
def text_file(tmp_path):
    """The bench's chart as a file, from tests/reference/munsell.csv."""
    table = REFERENCE / "munsell.csv"
    with table.open(newline="") as file:
        rows = [
            f"{n} {r['C_x']} {r['C_y']} {100 * float(r['C_Y']):.4f}"
            for n, r in enumerate(csv.DictReader(file), 1)
        ]
    path = tmp_path / "mine.txt"
    path.write_text(TEXT.format(rows="\n".join(rows)))
    return path


def test_the_charts_that_are_built_in():
    assert references_of(ChartOptions(feed=BENCH)) == BUILT_IN
    with pytest.raises(ArgumentError, match="--layout without --reference"):
        references_of(ChartOptions(feed=BENCH, layout="6x4"))


def test_a_file_is_read_and_used(text_file):
    found = asked("chart", feed=BENCH, reference=text_file, layout="6x4")
    assert found["chart"] == "mine"
    assert found["mean_de00"] < 0.3


def test_a_layout_that_the_file_has_not(text_file):
    with pytest.raises(ChartFileError):
        load_reference(text_file, "5x4")
    with pytest.raises(ArgumentError, match="--layout '6by4' is none"):
        load_reference(text_file, "6by4")


def test_a_file_that_is_not_to_be_had(tmp_path):
    with pytest.raises(ArgumentError, match="cannot be read"):
        load_reference(tmp_path / "none.txt", None)
    with pytest.raises(ArgumentError, match="cannot be read"):
        load_reference(tmp_path, None)
    path = tmp_path / "empty.txt"
    path.write_text("")
    with pytest.raises(ChartFileError):
        load_reference(path, None)
    path.write_bytes(b"x" * 3_000_000)
    with pytest.raises(ArgumentError, match="larger than any chart"):
        load_reference(path, None)


def test_the_reference_that_fits_is_taken(scene):
    where = scene()
    corners = find_chart(where.frame, where.yard, where.gamut).corners
    for references in (BUILT_IN, BUILT_IN[::-1]):
        assert read_any(where, references, corners, Scaling.NEUTRALS).reference is BENCH_CHART


def test_a_chart_that_cannot_be_read_says_more_than_one_that_is_not_there(scene):
    where = scene()
    across = where.frame.columns
    corners = find_chart(where.frame, where.yard, where.gamut).corners
    mirrored = tuple(np.ascontiguousarray(plane[:, ::-1]) for plane in where.frame.planes)
    seen = replace(where, frame=replace(where.frame, planes=mirrored))
    there = in_order(tuple((across - x, y) for x, y in corners.points))
    assert BUILT_IN[-1] is BENCH_CHART  # the other one is asked first, and is not there
    with pytest.raises(ChartTurnedError):
        read_any(seen, BUILT_IN, there, Scaling.NEUTRALS)
    empty = Corners(((100.0, 100.0), (300.0, 100.0), (300.0, 250.0), (100.0, 250.0)))
    with pytest.raises(ChartNotFoundError):
        read_any(where, BUILT_IN, empty, Scaling.NEUTRALS)
