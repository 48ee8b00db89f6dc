"""References, corners and objects behind `midgrey chart`."""

import csv

import pytest

from firmware.charting import chart_object, load_reference, read_look, references_of
from firmware.clock import HandClock
from firmware.errors import ArgumentError
from firmware.written.options import ChartOptions
from overlays.errors import ChartFileError, ChartNotFoundError
from overlays.measure.chart.reference import BENCH_CHART, BUILT_IN
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
    assert references_of(ChartOptions(BENCH)) == BUILT_IN
    with pytest.raises(ArgumentError, match="--layout without --reference"):
        references_of(ChartOptions(BENCH, layout="6x4"))


def test_a_file_is_read_and_used(text_file):
    answer = read_look(ChartOptions(BENCH, reference=text_file), BENCH, None, HandClock())
    assert answer.reading.reference.name == "mine"
    assert answer.reading.mean_de00 < 0.3


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


def test_by_corners_the_fitting_reference_is_taken():
    found = read_look(ChartOptions(BENCH), BENCH, None, HandClock()).reading
    text = " ".join(f"{x:.0f},{y:.0f}" for x, y in found.corners.turned(3).points)
    again = read_look(ChartOptions(BENCH, corners=text), BENCH, None, HandClock()).reading
    assert again.reference is BENCH_CHART
    assert again.mean_de00 == pytest.approx(found.mean_de00, abs=0.05)
    elsewhere = ChartOptions(BENCH, corners="100,100,300,100,300,250,100,250")
    with pytest.raises(ChartNotFoundError):
        read_look(elsewhere, BENCH, None, HandClock())


def test_the_object_holds_only_plain_finite_things():
    found = chart_object(read_look(ChartOptions(BENCH), BENCH, None, HandClock()))
    assert len(found["patches"]) == 24
    keys = {"name", "lab", "REFERENCElab", "de00", "hue_error_deg", "chroma_ratio"}
    assert keys <= set(found["patches"][0])
    assert len(found["neutral_stops"]) == 6
    assert found["evenness_stops"] < 0.02
    assert found["mean_de00"] < 0.3
    assert found["profile"]["gamut"] == "BT.709"
