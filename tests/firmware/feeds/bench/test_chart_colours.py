import csv

from firmware.feeds.bench.chart_colours import CHART_COLUMNS, CHART_ROWS, MUNSELL_CHART
from tests.places import REFERENCE

TABLE = REFERENCE / "munsell.csv"


def test_chart_is_the_published_munsell_colours():
    with TABLE.open(newline="") as file:
        rows = list(csv.DictReader(file))
    expected = {r["munsell"]: tuple(float(r[f"lin_{c}"]) for c in "RGB") for r in rows}
    assert expected == MUNSELL_CHART
    assert list(expected) == list(MUNSELL_CHART)
    assert len(MUNSELL_CHART) == CHART_ROWS * CHART_COLUMNS
