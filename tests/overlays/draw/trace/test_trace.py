import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.draw.layout.theme import AMBER, PANEL, RED, TEXT, pixel_of
from overlays.draw.trace.scales import Kind, Mark
from overlays.draw.trace.trace import (
    CLEAR,
    FAINTEST,
    SHADES,
    TraceDrawer,
    blend,
    lay_over,
    shades,
    trace_ground,
)
from overlays.errors import DrawingError
from tests.crews import Backwards


def spans(source, drawn):
    first = [i * source // drawn for i in range(drawn)]
    last = [max((i + 1) * source // drawn, i * source // drawn + 1) for i in range(drawn)]
    return list(zip(first, last, strict=True))


def reference(counts, ground, spot, shape, colour):
    shade = shades(colour)
    out = np.zeros(shape, np.uint32)
    rows = spans(counts.shape[1], shape[0])[::-1]
    for x, (c0, c1) in enumerate(spans(counts.shape[0], shape[1])):
        behind = ground.rows[((x >> 2) & 1) + (2 if spot[0] <= x < spot[1] else 0)]
        for y, (low, high) in enumerate(rows):
            total = int(counts[c0:c1, low:high].sum())
            total = (total * (256 // (c1 - c0)) + 255) >> 8
            out[y, x] = shade[min(total, SHADES - 1)] if total else behind[y]
    return out


@pytest.mark.parametrize(
    ("census", "shape"),
    [((40, 256), (60, 40)), ((45, 256), (64, 37)), ((20, 256), (300, 50)), ((64, 1024), (90, 48))],
)
def test_equals_the_plain_reference(census, shape):
    rng = np.random.default_rng(7)
    counts = rng.poisson(0.4, census).astype(np.uint16) * rng.integers(1, 900, census).astype(
        np.uint16
    )
    ground = trace_ground(shape[0], (Mark(Kind.LIMIT, 5, "100"), Mark(Kind.STOP, 9, "")))
    target = np.zeros(shape, np.uint32)
    TraceDrawer().draw(counts, ground, (5, 11), target)
    np.testing.assert_array_equal(target, reference(counts, ground, (5, 11), shape, TEXT))


def test_a_single_pixel_is_seen_and_more_is_brighter():
    shade = shades(TEXT)
    assert shade[1] == pixel_of(blend(PANEL, TEXT, FAINTEST))
    for count in (2, 3, 10, 100, 1000, 2000):
        share = FAINTEST + (1.0 - FAINTEST) * math.log(count) / math.log(2047)
        assert shade[count] == pixel_of(blend(PANEL, TEXT, share))
    green = shade[1:] >> 8 & 255
    assert (np.diff(green.astype(int)) >= 0).all()
    assert shade[-1] == pixel_of(TEXT)
    counts = np.zeros((200, 1024), np.uint16)
    counts[77, 300] = 1
    target = np.zeros((50, 100), np.uint32)
    TraceDrawer().draw(counts, trace_ground(50, ()), (0, 0), target)
    assert (target != pixel_of(PANEL)).sum() == 1
    counts[76:78, 300] = 5 * SHADES
    TraceDrawer().draw(counts, trace_ground(50, ()), (0, 0), target)
    assert target.max() == pixel_of(TEXT)  # what has no shade of its own has the brightest


def test_the_lowest_code_is_at_the_bottom_and_the_highest_at_the_top():
    counts = np.zeros((8, 256), np.uint16)
    counts[0, 0] = counts[7, 255] = 9
    target = np.zeros((31, 8), np.uint32)
    TraceDrawer().draw(counts, trace_ground(31, ()), (0, 0), target)
    assert target[30, 0] != pixel_of(PANEL)
    assert target[0, 7] != pixel_of(PANEL)
    assert (target != pixel_of(PANEL)).sum() == 2


def test_lines_and_the_columns_of_the_spot_show_where_the_picture_has_no_level():
    ground = trace_ground(20, (Mark(Kind.CLIP, 3, "clip"), Mark(Kind.LIMIT, 8, "0")))
    target = np.zeros((20, 24), np.uint32)
    TraceDrawer().draw(np.zeros((24, 256), np.uint16), ground, (10, 14), target)
    assert (target[3] == pixel_of(RED)).all()
    assert len(set(target[8].tolist())) == 3  # dash, gap, gap in the spot's columns
    assert (target[15, 10:14] == pixel_of(blend(PANEL, AMBER, 0.16))).all()
    assert target[15, 9] == target[15, 14] == pixel_of(PANEL)


def test_refuses_an_area_that_does_not_suit():
    drawer, counts = TraceDrawer(), np.zeros((8, 256), np.uint16)
    with pytest.raises(DrawingError, match="cannot be drawn"):
        drawer.draw(counts, trace_ground(20, ()), (0, 0), np.zeros((21, 8), np.uint32))


def test_draws_into_a_part_of_a_screen():
    counts = np.ones((8, 256), np.uint16)
    screen = np.zeros((30, 40), np.uint32)
    TraceDrawer().draw(counts, trace_ground(10, ()), (0, 0), screen[4:14, 6:14])
    assert (screen[4:14, 6:14] != 0).all()
    screen[4:14, 6:14] = 0
    assert not screen.any()


@given(
    st.integers(0, 2**32 - 1),
    st.integers(1, 9),
    st.integers(1, 9),
    st.integers(0, 4),
)
def test_over_a_picture_what_is_clear_shows_it_a_quarter_as_bright(seed, rows, columns, spare):
    chance = np.random.default_rng(seed)
    screen = chance.integers(0, 1 << 24, (rows + 2, columns + spare), dtype=np.uint32)
    sheet = chance.integers(0, 1 << 24, (rows, columns), dtype=np.uint32)
    is_clear = chance.random((rows, columns)) < 0.5
    added = chance.integers(0, 40, (rows, columns), dtype=np.uint32)
    sheet[is_clear] = (CLEAR | added)[is_clear]
    before = screen.copy()
    lay_over(sheet, screen[1 : 1 + rows, :columns])
    under = before[1 : 1 + rows, :columns]
    dimmed = sum(((under >> shift & 255) // 4) << shift for shift in (0, 8, 16))
    wanted = np.where(is_clear, dimmed + added, sheet)
    np.testing.assert_array_equal(screen[1 : 1 + rows, :columns], wanted)
    before[1 : 1 + rows, :columns] = wanted  # and nothing beside it has changed
    np.testing.assert_array_equal(screen, before)


@settings(max_examples=30, deadline=None)
@given(
    st.sampled_from([(40, 256), (45, 256), (20, 1024)]),
    st.tuples(st.integers(1, 80), st.integers(1, 150)),
    st.integers(2, 9),
)
def test_whoever_draws_the_trace_is_the_same(census, shape, workers):
    counts = np.random.default_rng(3).poisson(0.4, census).astype(np.uint16)
    ground = trace_ground(shape[0], ())
    one, several, below = (np.full(shape, 0x445566, np.uint32) for _ in range(3))
    under = below.copy()
    drawer = TraceDrawer()
    TraceDrawer().draw(counts, ground, (5, 11), one)
    for crew in (Backwards(workers), Backwards(2), Backwards(workers + 1)):
        several[:] = 0
        drawer.draw(counts, ground, (5, 11), several, crew)
        np.testing.assert_array_equal(one, several)
    lay_over(one, below)
    lay_over(several, under, Backwards(workers))
    np.testing.assert_array_equal(below, under)
