from hypothesis import given
from hypothesis import strategies as st

from overlays.draw.layout.areas import Area
from overlays.draw.layout.monitor import Monitor
from overlays.draw.layout.seen import Part, PictureSeen, part_of, seen_on

AREA = Area(34, 8, 480, 270)
SIZE = (1920, 1080)

monitors = st.builds(
    Monitor, flipped=st.booleans(), mirrored=st.booleans(), times=st.sampled_from([1, 2, 4])
)
sizes = st.tuples(st.integers(2, 4096), st.integers(2, 2160))


@given(monitors, sizes, st.data())
def test_the_pixel_under_where_a_pixel_is_seen_is_that_pixel(monitor, size, data):
    spot = (data.draw(st.integers(0, size[0] - 1)), data.draw(st.integers(0, size[1] - 1)))
    seen = seen_on(monitor, AREA, size, spot)
    part = seen.part
    column = data.draw(st.integers(part.left, part.left + part.columns - 1))
    row = data.draw(st.integers(part.top, part.top + part.rows - 1))
    x, y = seen.point(column + 0.5, row + 0.5)
    found = seen.pixel(min(int(x), AREA.right - 1), min(int(y), AREA.bottom - 1))
    # A pixel of the screen holds several of a large picture, or is one of several of a small one.
    assert abs(found[0] - column) <= 1 + part.columns / AREA.width
    assert abs(found[1] - row) <= 1 + part.rows / AREA.height


@given(monitors, sizes, st.data())
def test_what_is_magnified_is_inside_and_holds_the_spot(monitor, size, data):
    spot = (data.draw(st.integers(0, size[0] - 1)), data.draw(st.integers(0, size[1] - 1)))
    part = part_of(monitor, size, spot)
    assert 0 <= part.left <= part.left + part.columns <= size[0]
    assert 0 <= part.top <= part.top + part.rows <= size[1]
    assert part.left % 2 == part.top % 2 == 0
    assert min(part.columns, part.rows) >= 2
    if monitor.times > 1 and min(size) >= 64:
        assert abs(part.columns * monitor.times - size[0]) < 4 * monitor.times
        assert part.left - 4 <= spot[0] <= part.left + part.columns + 4


def test_where_it_is_turned_left_is_right_and_up_is_down():
    plain = PictureSeen(AREA, Part(0, 0, *SIZE))
    turned = PictureSeen(AREA, Part(0, 0, *SIZE), flipped=True, mirrored=True)
    assert plain.at(0, 0) == (AREA.left, AREA.top)
    assert turned.at(0, 0) == (AREA.right, AREA.bottom)
    assert turned.at(*SIZE) == (AREA.left, AREA.top)
    box, other = plain.box(0, 0, 192, 108), turned.box(0, 0, 192, 108)
    assert (box.width, box.height) == (other.width, other.height) == (48, 27)
    assert (other.right, other.bottom) == (AREA.right, AREA.bottom)
    assert turned.cell(0, 0, 192, 108) == other


def test_nothing_is_under_what_lies_outside():
    seen = PictureSeen(AREA, Part(0, 0, *SIZE))
    assert seen.pixel(AREA.right, AREA.top) is None
    assert seen.pixel(AREA.left, AREA.top - 1) is None
