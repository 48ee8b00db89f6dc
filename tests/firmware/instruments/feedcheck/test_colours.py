"""What patches say of the matrix, and which is asked for next."""

from dataclasses import replace

import numpy as np
import pytest

from firmware.instruments.feedcheck.colours import colour_words, next_patch
from firmware.instruments.feedcheck.judged_readings import Judging, judged
from overlays.draw.moment.layers import PinFlags
from overlays.measure.chart.reference import BUILT_IN, CHART24
from overlays.measure.feedcheck.patch import PATCHES, SaturatedPatch
from overlays.measure.feedcheck.tolerances import Tolerances
from overlays.signal.gamuts import published_gamut
from overlays.signal.levels import decoding
from overlays.signal.signal import Components, Matrix, Signal
from tests.firmware.instruments.feedcheck.test_judged_readings import V_LOG


@pytest.fixture
def of(lit):
    """The answer on patches of V-Log that were sent by a matrix."""
    origin = lit(np.full((64, 64, 3), 0.18)).origin

    def made(*names, sent=Matrix.BT709, factor=1.0, within=0.10):
        back = decoding(Signal(10, origin.signal.range, sent))
        light = np.maximum(CHART24.linear(published_gamut("V-Gamut")), 0.0) * factor
        found = []
        for name in names:
            values = np.asarray(origin.profile.curve.encode(light[CHART24.names.index(name)]))
            nominal = (values * 1023.0 - 64.0) / 876.0
            codes = np.linalg.solve(back.matrix, nominal) + back.zero
            found.append(SaturatedPatch(tuple(map(float, codes)), name))
        return judged(
            V_LOG, origin, PinFlags(()), Judging(Tolerances(colour_share=within), tuple(found))
        )

    return made


def test_without_patches_it_says_that_greys_do_not_tell_and_asks_for_one(of):
    found = of()
    assert "--patch or --chart" in colour_words(found)[0]
    name, far = next_patch(found)
    assert name in PATCHES
    assert far > 0.05


def test_each_patch_is_asked_for_once_until_the_matrix_is_known_or_none_is_left(of):
    read: list[str] = []
    while (telling := next_patch(of(*read, sent=Matrix.BT709))) is not None:
        assert telling[0] not in read
        read.append(telling[0])
    assert len(read) == len(PATCHES)
    assert "no other patch would tell more" in colour_words(of(*read))[-1]
    assert "6 patches do not decide the matrix" in colour_words(of(*read))[0]


def test_what_fits_one_matrix_alone_is_said_and_nothing_more_is_asked_for(of):
    found = of("red", "green", sent=Matrix.BT601, within=0.04)
    assert found.matrix is Matrix.BT601
    (said,) = colour_words(found)
    assert said.startswith("colours of the patches red and green fit matrix BT.601 alone; ")
    assert "it is read by BT.709, and red is off by" in said
    assert next_patch(found) is None


def test_what_fits_none_is_asked_about(of):
    (said,) = colour_words(of("red", factor=0.5))
    assert "the red patch fit no matrix" in said
    assert "on red" in said


def test_of_another_chart_all_that_tells_was_read_and_rgb_has_no_matrix(of):
    found = of("red")
    other = SaturatedPatch((400.0, 500.0, 520.0), BUILT_IN[1].names[0], chart=BUILT_IN[1])
    assert next_patch(replace(found, patches=(other,))) is None
    rgb = replace(found.origin, signal=replace(found.origin.signal, components=Components.RGB))
    assert next_patch(replace(found, origin=rgb)) is None
    assert colour_words(replace(found, origin=rgb)) == ()
