import dataclasses

import numpy as np
import pytest

from overlays.draw.moment.more import Ghost, More, Report, Row, Tone
from overlays.measure.counting.census import Census
from overlays.signal.signal import Signal


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


@pytest.mark.parametrize("chroma", [None, np.ones((256, 256), np.uint32)])
def test_a_ghost_outlives_the_census_it_was_taken_of(chroma):
    levels = np.ones((4, 256), np.uint16)
    census = Census(8, 1, 4, levels, np.arange(4, dtype=np.uint64), chroma)
    ghost = Ghost.of(census, Signal())
    levels[:] = 7
    assert (ghost.levels == 1).all()
    assert (ghost.chroma is None) == (chroma is None)
    if chroma is not None:
        chroma[:] = 7
        assert (ghost.chroma == 1).all()
