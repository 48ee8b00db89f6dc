from dataclasses import replace

import pytest

from firmware.clock import HandClock
from firmware.instruments.asking import Opener, Wanted
from firmware.instruments.feedcheck.codes_kept import CodesKept
from overlays.measure.chart.reference import CHART24
from overlays.measure.feedcheck.patch import SaturatedPatch
from overlays.measure.feedcheck.readings import What


@pytest.fixture
def scene():
    with Opener(HandClock(10**9)).scene(Wanted("bench:size=160x90")) as opened:
        return opened.kept()


def test_each_reading_keeps_its_spot_and_the_counts_of_its_picture(scene):
    kept = CodesKept().read(What.CAP, scene).read(What.CLIP, scene)
    assert list(kept.readings) == [What.CAP, What.CLIP]
    counts = kept.readings[What.CLIP].counts
    assert sum(counts.levels) == 160 * 90
    assert list(kept.without(What.CAP).readings) == [What.CLIP]


def test_patches_of_a_chart_that_is_not_built_in_are_left_out(scene):
    known = SaturatedPatch((1.0, 2.0, 3.0))
    strange = SaturatedPatch((1.0, 2.0, 3.0), chart=replace(CHART24, name="mine"))
    kept = CodesKept().patched([(known, scene.place), (strange, scene.place)], scene)
    ((patches, _),) = [(each.patches, each.kept) for each in kept.patches]
    assert patches == ((known, scene.place),)
