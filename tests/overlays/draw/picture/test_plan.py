from overlays.draw.picture.plan import TAPS_TOTAL, planned, scratch_for
from tests.overlays.measure.counting.test_census import frame_of


def test_a_plan_has_a_place_and_weights_for_every_row_and_column_drawn():
    plan = planned(frame_of("UYVY", 36, 48), 24, 31)
    assert plan.ratio[0] == 0
    assert plan.vertical[0].shape == (2, 24)
    assert plan.horizontal[0].shape == (2, 31)
    assert (plan.horizontal[1].sum(axis=1) == TAPS_TOTAL).all()  # and so does each drawn column
    sums = plan.vertical[1].sum(axis=2)
    assert (sums[0] == sums[0, 0]).all()  # each drawn row weighs the same
    assert plan.scale % sums[0, 0] == 0


def test_columns_need_no_weights_where_a_loop_of_its_own_has_them():
    plan = planned(frame_of("UYVY", 36, 48), 24, 32)
    assert plan.ratio[0] != 0
    assert plan.horizontal[0].shape == (2, 0)
    assert plan.vertical[0].shape == (2, 24)


def test_each_worker_has_rows_of_its_own_as_long_as_those_of_the_frame():
    frame = frame_of("UYVY", 36, 47)
    plan = planned(frame, 24, 32)
    one, other = scratch_for(plan, 47, 32), scratch_for(plan, 47, 32)
    assert [row.size for row in one[0]] == [47, 24, 24]
    assert [row.size for row in (*one[2], one[3])] == [32] * 4
    assert not any(a is b for a, b in zip(one[0], other[0], strict=True))
