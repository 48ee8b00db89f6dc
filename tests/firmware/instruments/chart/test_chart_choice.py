"""Which chart is meant, and what of a file is refused."""

import csv
import json
from dataclasses import replace

import numpy as np
import pytest

from firmware.errors import ArgumentError
from firmware.instruments.chart import ChartOptions
from firmware.instruments.chart.chart_choice import (
    load_reference,
    read_any,
    read_at,
    reference_object,
    reference_of,
    references_of,
)
from overlays.errors import ChartFileError, ChartNotFoundError, ChartTurnedError
from overlays.measure.chart.chart_reading import Scaling
from overlays.measure.chart.find import find_chart
from overlays.measure.chart.place import Corners, in_order, patch_places
from overlays.measure.chart.reference import BENCH_CHART, BUILT_IN
from overlays.sharing.stepwise import whole
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
        assert (
            whole(read_any(where, references, corners, Scaling.NEUTRALS)).reference is BENCH_CHART
        )


def test_a_chart_that_cannot_be_read_says_more_than_one_that_is_not_there(scene):
    where = scene()
    across = where.frame.columns
    corners = find_chart(where.frame, where.yard, where.gamut).corners
    mirrored = tuple(np.ascontiguousarray(plane[:, ::-1]) for plane in where.frame.planes)
    seen = replace(where, frame=replace(where.frame, planes=mirrored))
    there = in_order(tuple((across - x, y) for x, y in corners.points))
    assert BUILT_IN[-1] is BENCH_CHART  # the other one is asked first, and is not there
    with pytest.raises(ChartTurnedError):
        whole(read_any(seen, BUILT_IN, there, Scaling.NEUTRALS))
    empty = Corners(((100.0, 100.0), (300.0, 100.0), (300.0, 250.0), (100.0, 250.0)))
    with pytest.raises(ChartNotFoundError):
        whole(read_any(where, BUILT_IN, empty, Scaling.NEUTRALS))


def test_a_chart_is_the_same_after_a_way_through_json():
    for chart in BUILT_IN:
        again = reference_of(json.loads(json.dumps(reference_object(chart))))
        np.testing.assert_array_equal(again.xyz, chart.xyz)
        assert reference_object(again) == reference_object(chart)
        assert reference_of(chart) is chart


@pytest.mark.parametrize(
    "change",
    [
        {"rows": 5},
        {"rows": 0},
        {"xyz": [[0.1, 0.2]]},
        {"xyz": [[float("nan")] * 3] * 24},
        {"names": ["one"]},
        {"other": 1},
    ],
)
def test_what_is_no_chart_is_refused(change):
    with pytest.raises(ValueError, match="chart"):
        reference_of({**reference_object(BENCH_CHART), **change})
    with pytest.raises(ValueError, match="no chart"):
        reference_of(7)


def test_patches_are_read_where_the_reading_read_them():
    """From whichever corner of the picture the chart's own order starts."""
    box = in_order(((200.0, 100.0), (500.0, 100.0), (500.0, 300.0), (200.0, 300.0)))
    for quarters in range(4):
        found = read_at(BENCH_CHART, box.turned(quarters))
        assert found == tuple(patch_places(BENCH_CHART, box.turned(quarters % 2)))
    one, two, three, four = box.points
    assert read_at(BENCH_CHART, Corners((two, one, four, three))) is None
