import dataclasses

import pytest

from overlays.draw.moment.report import Report, Row, Tone


def test_a_report_is_a_plain_value():
    report = Report("spot", "+1.00", "±0.01 st", "close to f/5.6", rows=(Row("f/4", "stays"),))
    assert report.tone is Tone.PLAIN
    assert report.rows[0].tone is Tone.PLAIN
    assert not report.rows[0].is_chosen
    assert report == dataclasses.replace(report)
    with pytest.raises(dataclasses.FrozenInstanceError):
        report.main = "0"  # type: ignore[misc]
