"""`midgrey chart` on the bench: one chart, two looks, and no chart."""

import io
import json

import pytest

from firmware.clock import HandClock
from firmware.commands.chart import chart
from firmware.errors import ArgumentError
from firmware.written.options import ChartOptions, Output
from overlays.errors import ChartNotFoundError

BENCH = "bench:size=960x540,signal=yuv444-10"


def printed(feed=BENCH, **options):
    out = io.StringIO()
    chart(ChartOptions(feed, **options), HandClock(), out)
    return out.getvalue()


@pytest.fixture(autouse=True)
def eighty_columns(monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")


def test_json_is_one_object():
    found = json.loads(printed(output=Output.JSON))
    assert found["schema"] == 1
    for key in ("patches", "mean_de00", "neutral_stops", "evenness_stops", "warnings"):
        assert key in found
    assert found["worst"] in {patch["name"] for patch in found["patches"]}


def test_a_person_reads_a_table_that_fits():
    text = printed()
    assert "5PB 5/8" in text
    assert "Mean ΔE00 0." in text
    assert max(len(line) for line in text.splitlines()) <= 80


def test_clipped_patches_have_no_number():
    text = printed(f"{BENCH},exposure=0.7")
    (row,) = [line for line in text.splitlines() if line.startswith("N9.5")]
    assert "clipped" in row
    assert "Note: clipped" in text


def test_two_looks_on_one_chart():
    # The second camera is said to send BT.709, and sends V-Gamut: it looks pale.
    pale = f"{BENCH},gamut=V-Gamut"
    found = json.loads(printed(against=pale, gamut="BT.709", output=Output.JSON))
    assert {hue["hue"] for hue in found["looks"]["hues"]} >= {"red", "green", "blue"}
    assert all(hue["saturation"] < 0.9 for hue in found["looks"]["hues"])
    assert found["against"]["profile"]["gamut"] == "BT.709"
    text = printed(against=pale, gamut="BT.709")
    assert "saturation" in text
    assert max(len(line) for line in text.splitlines()) <= 80


def test_one_feed_under_two_profiles():
    found = json.loads(printed(against_profile="log-v", profile="log-s3", output=Output.JSON))
    assert found["profile"]["curve"] == "S-Log3"
    assert found["against"]["profile"]["curve"] == "V-Log"


def test_no_chart_and_no_such_scale():
    with pytest.raises(ChartNotFoundError):
        printed("bench:size=64x36")
    with pytest.raises(ArgumentError, match="scale"):
        printed(scaling="nonsense")


def test_a_picture_is_drawn(tmp_path):
    path = tmp_path / "chart.png"
    printed(picture=path)
    assert path.read_bytes().startswith(b"\x89PNG")
