from dataclasses import replace

import numpy as np
import pytest

from firmware.errors import JournalError
from firmware.instruments.counted import Counted
from overlays.measure.counting.census import Wants, histogram, take_census
from tests.marked import SMALL, in_view

ALL = Wants.LEVELS | Wants.CLIPPING | Wants.RGB


@pytest.fixture(scope="module", params=["", ",signal=yuv422-10", ",signal=rgb"])
def census(request):
    seen = in_view(f"{SMALL}{request.param}")
    return take_census(seen.frame, seen.yard, ALL)


def test_what_is_kept_counts_as_the_whole(census):
    again = Counted.of(census).census()
    assert (again.pixels, again.bits) == (census.pixels, census.bits)
    np.testing.assert_array_equal(histogram(again), histogram(census))
    np.testing.assert_array_equal(again.clipped, census.clipped)
    np.testing.assert_array_equal(again.rgb[:, 0], census.rgb.sum(axis=1))


def test_it_fits_its_own_picture_and_no_other(census):
    kept = Counted.of(census)
    kept.check(360, 640)
    wrong = [
        (kept, 360, 639),
        (replace(kept, levels=kept.levels[:-1]), 360, 640),
        (replace(kept, levels=(kept.levels[0] + 1, *kept.levels[1:])), 360, 640),
        (replace(kept, bits=12), 360, 640),
        (replace(kept, clipped=(0, 0, kept.pixels + 1)), 360, 640),
        (replace(kept, rgb=(kept.rgb[0][:-1], *kept.rgb[1:])), 360, 640),
        (replace(kept, levels=(-1, kept.pixels + 1, *(0,) * (len(kept.levels) - 2))), 360, 640),
    ]
    for counts, rows, columns in wrong:
        with pytest.raises(JournalError, match="counts are not those of the whole picture"):
            counts.check(rows, columns)
