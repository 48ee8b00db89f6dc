import csv
from pathlib import Path

from firmware.feeds.bench_chart import CHART_COLUMNS, CHART_ROWS, MUNSELL_CHART

REFERENCE = Path(__file__).parents[2] / "reference" / "munsell.csv"


def test_chart_is_the_published_munsell_colours():
    with REFERENCE.open(newline="") as file:
        rows = list(csv.DictReader(file))
    expected = {r["munsell"]: tuple(float(r[f"lin_{c}"]) for c in "RGB") for r in rows}
    assert expected == MUNSELL_CHART
    assert list(expected) == list(MUNSELL_CHART)
    assert len(MUNSELL_CHART) == CHART_ROWS * CHART_COLUMNS
