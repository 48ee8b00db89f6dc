import numpy as np

from firmware.instruments.feedcheck.judged_readings import Judging, judged
from overlays.draw.moment.layers import PinFlags
from overlays.measure.feedcheck.patch import SaturatedPatch
from overlays.measure.feedcheck.readings import CodeReading, What

V_LOG = {
    # V-Log's table: 0 % = 128, 18 % = 433, 90 % = 602 (tests/reference/curves.csv).
    What.CAP: CodeReading(128.0, 0.2),
    What.CARD: CodeReading(433.0, 0.2),
    What.CLIP: CodeReading(900.0, 1.0),
    What.WHITE: CodeReading(602.0, 0.2),
}


def origin(lit):
    return lit(np.full((64, 64, 3), 0.18)).origin


def test_it_goes_on_from_reading_to_reading(lit):
    of = origin(lit)
    assert judged({}, of, PinFlags(())).check is None
    assert judged({What.CAP: V_LOG[What.CAP]}, of, PinFlags(())).check is None
    found = judged(V_LOG, of, PinFlags(()))
    assert found.check is not None
    assert found.chosen == found.now  # read with V-Log on its own carriage
    assert found.costs == ()


def test_readings_that_do_not_rise_are_a_fault(lit):
    swapped = {What.CAP: V_LOG[What.CARD], What.CARD: V_LOG[What.CAP]}
    found = judged(swapped, origin(lit), PinFlags(()))
    assert found.check is None
    assert "must be brighter" in found.fault


def test_a_patch_is_held_against_every_matrix(lit):
    asked = Judging(patches=(SaturatedPatch((400.0, 480.0, 600.0)),))
    found = judged(V_LOG, origin(lit), PinFlags(()), asked)
    assert {each.matrix.value for each in found.coloured} == {"BT.709", "BT.601", "BT.2020"}
    assert found.patches == asked.patches


def test_patches_are_held_against_every_way_that_greys_leave(lit):
    """Where greys are tied a matrix is decided only if it is for all of these."""
    asked = Judging(patches=(SaturatedPatch((400.0, 480.0, 600.0)),))
    three = {what: V_LOG[what] for what in (What.CAP, What.CARD, What.CLIP)}
    found = judged(three, origin(lit), PinFlags(()), asked)
    assert len(found.check.groups) > 1
    every = {each for group in found.check.groups for each in group}
    assert {each.delivery for each in found.coloured} == every
    assert found.chosen in found.check.groups[0]
