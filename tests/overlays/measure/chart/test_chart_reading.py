"""Means and the worst of a chart, with patches that could not be read."""

from types import SimpleNamespace
from typing import Any

import pytest

from overlays.measure.chart.chart_reading import ChartReading, Scaling


def reading(*errors):
    nothing: Any = None
    patches: Any = tuple(SimpleNamespace(de00=each) for each in errors)
    gains = (1.0, 1.0, 1.0)
    return ChartReading(
        nothing, nothing, nothing, Scaling.NEUTRALS, gains, patches, (), nothing, ()
    )


def test_what_could_not_be_read_is_in_no_mean_and_never_the_worst():
    made = reading(1.0, None, 3.0)
    assert made.mean_de00 == pytest.approx(2.0)
    assert made.worst is made.patches[2]
    assert made.read_of == (2, 3)


def test_where_all_were_read_nothing_is_said_of_how_many():
    assert reading(1.0, 2.0).read_of is None
