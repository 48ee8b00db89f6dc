from typing import Any

import numpy as np
import pytest

from overlays.draw.moment.layers import (
    ChartShown,
    ChromaShown,
    EvennessMap,
    Ghost,
    PinFlags,
    PinShown,
    Said,
    Strip,
)
from overlays.measure.counting.census import Census
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.signal import Signal

KINDS: tuple[Any, ...] = (PinFlags, Ghost, Strip, ChromaShown, ChartShown, EvennessMap)


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_is_shown_where_nothing_is_given(kind):
    assert Said().report is None
    assert Said().layer(kind) is None


def test_each_layer_is_found_by_its_kind_and_no_other():
    pins = PinFlags((PinShown(SpotPlace(9, 9, 4), "1"),))
    chart = ChartShown(None, None, None)
    said = Said(layers=(pins, chart))
    found = {kind: said.layer(kind) for kind in KINDS}
    assert {kind for kind in KINDS if found[kind] is not None} == {PinFlags, ChartShown}
    assert found[PinFlags] is pins
    assert found[ChartShown] is chart


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
