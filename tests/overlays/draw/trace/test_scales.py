import itertools

import pytest

from overlays.draw.trace.scales import Kind, percent_marks, ruler, stop_marks
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.published import published_curve, published_curves
from overlays.signal.quantities import stops
from overlays.signal.signal import Range, Signal

CURVES = published_curves()


def yard_of(curve="BT.709", bits=8, code_range=Range.LIMITED, **limits):
    return yardstick(Signal(bits=bits, range=code_range), published_curve(curve), **limits)


@pytest.mark.parametrize("bits", [8, 10])
@pytest.mark.parametrize("rows", [130, 256, 360])
def test_sub_black_and_super_white_have_room_on_limited_range(bits, rows):
    on = ruler(yard_of(bits=bits), rows)
    # ITU-R BT.709-6 item 4.6: black 16, white 235 of 256 codes.
    assert on.row(100.0) == pytest.approx(rows * 20.5 / 256, abs=1.5)
    assert on.row(0.0) == pytest.approx(rows * (1 - 16.5 / 256), abs=1.5)
    assert on.row(-100.0) == rows - 1
    assert on.row(300.0) == 0


def test_full_range_ends_at_black_and_white():
    on = ruler(yard_of(code_range=Range.FULL), 256)
    assert (on.row(0.0), on.row(100.0)) == (255, 0)


@pytest.mark.parametrize("rows", [60, 130, 256, 360, 700])
def test_percent_labels_keep_their_distance_and_0_and_100_are_there(rows):
    marks = percent_marks(ruler(yard_of(), rows), 16)
    assert {m.label for m in marks if m.kind is Kind.LIMIT} == {"0", "100"}
    at = sorted(m.row for m in marks)
    assert min(b - a for a, b in itertools.pairwise(at)) >= 16 - 1


@pytest.mark.parametrize("curve", CURVES, ids=lambda c: c.name)
@pytest.mark.parametrize("rows", [100, 256, 360])
def test_stop_labels_keep_their_distance_for_every_curve(curve, rows):
    yard = yardstick(Signal(bits=10), curve)
    marks = stop_marks(yard, ruler(yard, rows), 16)
    at = sorted(m.row for m in marks if m.label)
    assert all(b - a >= 16 for a, b in itertools.pairwise(at))
    mid = [m for m in marks if m.kind is Kind.MID_GREY]
    assert [m.label for m in mid] == ["0 st"]


def test_a_label_moved_in_from_the_edge_keeps_its_distance_too():
    # V-Log's clip is the top code: its label stands a half height below its line
    yard = yardstick(Signal(10), published_curve("V-Log"))
    gap = 14
    marks = [m for m in stop_marks(yard, ruler(yard, 130), gap) if m.label]
    stands = sorted(min(max(m.row, gap // 2), 130 - gap // 2) for m in marks)
    assert all(b - a >= gap for a, b in itertools.pairwise(stands))
    assert "clip" in {m.label for m in marks}


def test_stops_lie_where_the_curve_puts_them():
    yard = yard_of("ACEScct", bits=10)
    on = ruler(yard, 360)
    marks = {m.label: m.row for m in stop_marks(yard, on, 2) if m.kind is Kind.STOP and m.label}
    assert marks["+2"] == on.row(yard.carried.stops_to_percent(2.0))
    # A pure logarithm has its stops at equal distances.
    gaps = [marks[f"+{s}"] - marks[f"+{s + 1}"] for s in (1, 2, 3)]
    assert max(gaps) - min(gaps) <= 1


def test_clip_and_floor_of_the_profile_are_marked():
    yard = yard_of("ACEScct", bits=10, clip=stops(4.0), floor=stops(-5.0))
    on = ruler(yard, 360)
    marks = {m.kind: m for m in stop_marks(yard, on, 16)}
    assert marks[Kind.CLIP].row == on.row(yard.clip_percent)
    assert marks[Kind.FLOOR].row == on.row(yard.floor_percent)
    names = [m.label for m in stop_marks(yard, on, 2)]
    assert "+5" not in names
    assert "−6" not in names
