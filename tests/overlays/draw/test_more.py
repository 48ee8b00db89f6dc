import dataclasses

import pytest

from overlays.draw.more import More, Report, Row, Tone


def test_a_report_is_a_plain_value():
    report = Report("spot", "+1.00", "±0.01 st", "close to f/5.6", rows=(Row("f/4", "stays"),))
    assert report.tone is Tone.PLAIN
    assert report == dataclasses.replace(report)
    with pytest.raises(dataclasses.FrozenInstanceError):
        report.main = "0"


def test_nothing_is_shown_where_nothing_is_given():
    assert More().report is None
    assert More().pins == ()
    assert More().ghost is None
    assert More().strip is None
