"""The yardsticks of the examples read as their notes say."""

import pytest

from overlays.measure.counting.example_yards import LOG, VIDEO
from overlays.signal.levels import code_to_percent


def test_video_reads_a_full_reflectance_at_code_940():
    assert code_to_percent(940.0, VIDEO.signal) == 100.0
    assert VIDEO.carried.percent_to_stops(100.0) == pytest.approx(2.474, abs=1e-3)


@pytest.mark.parametrize(("code", "stops"), [(420, 0.0), (496, 1.0)])  # as `published.py` cites
def test_log_reads_the_codes_of_its_paper(code, stops):
    percent = code_to_percent(float(code), LOG.signal)
    assert LOG.carried.percent_to_stops(percent) == pytest.approx(stops, abs=0.006)
