import numpy as np
import pygame
import pytest

from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Letters
from overlays.draw.layout.theme import AMBER, LINE, RED, TEXT, pixel_of, theme_for
from overlays.draw.moment.layers import Lane, Strip
from overlays.draw.painter import MASKS
from overlays.draw.trace.strip import draw_strip
from overlays.measure.watch.change import Change
from overlays.measure.watch.history import Stretch

AREA = Area(0, 10, 700, 200)


def stretch(values, seconds=180.0):
    mean = np.asarray(values, dtype=float)
    column_ns = round(seconds / mean.size * 1e9)
    return Stretch(mean - 0.005, mean + 0.005, mean, mean.size * column_ns, column_ns)


def drawn(*lanes, area=AREA):
    surface = pygame.Surface((720, 230), 0, 32, (*MASKS, 0))
    strip = Strip(lanes, 0.1, 180.0)
    draw_strip(surface, Letters(), strip, area, theme_for(1280, 720))
    return pygame.surfarray.array2d(surface).T


def rows_of(pixels, colour, columns=slice(500, 690)):
    return np.flatnonzero((pixels[:, columns] == pixel_of(colour)).any(axis=1))


def test_what_is_within_tolerance_lies_in_the_middle():
    pixels = drawn(Lane("1", stretch(np.zeros(360))))
    rows = rows_of(pixels, AMBER)
    assert rows.size
    assert not rows_of(pixels, RED).size
    assert abs(rows.mean() - 100) < 12  # the middle of the lane


def test_what_is_beyond_is_of_another_colour_and_thicker():
    pixels = drawn(Lane("1", stretch(np.full(360, -0.3))))
    red = rows_of(pixels, RED)
    assert red.size >= 3
    assert red.min() > 110  # darker is lower
    assert not rows_of(pixels, AMBER).size


def test_what_is_far_beyond_stays_within_its_own_lane():
    far = np.full(360, 5.0)
    lower, upper = Lane("1", stretch(-far)), Lane("2", stretch(far))
    only_lower = rows_of(drawn(lower, Lane("2", None)), RED)
    only_upper = rows_of(drawn(Lane("1", None), upper), RED)
    both = drawn(lower, upper)
    border = only_lower.max() + 1
    assert only_upper.min() > border  # the line between two lanes is left free
    assert AREA.top < only_lower.min()
    assert only_upper.max() < AREA.bottom
    assert rows_of(both, RED).tolist() == [*only_lower, *only_upper]
    # The first reaches for its lane's foot, the second for its head, and no further.
    foot = np.flatnonzero((both[: border + 9, 500:690] == pixel_of(LINE)).all(axis=1)).max()
    assert 0 < foot - only_lower.max() <= 2
    assert 0 < only_upper.min() - foot <= 3


@pytest.mark.parametrize("tolerances", [-3, -2, -1, 1, 2, 3])
def test_a_lane_reaches_four_tolerances_to_either_side(tolerances):
    pixels = drawn(Lane("1", stretch(np.full(360, 0.101 * tolerances))))
    rows = rows_of(pixels, RED)
    lines = np.flatnonzero((pixels[:, 500:690] == pixel_of(LINE)).all(axis=1))
    top, middle, foot = AREA.top, lines.min(), lines.max()
    assert middle - top == pytest.approx(foot - middle, abs=2)
    away = middle - rows.mean()
    assert away == pytest.approx(tolerances / 4.0 * (foot - top) / 2.0, abs=3.0)


@pytest.mark.parametrize("change", list(Change))
def test_events_stand_where_they_happened(change):
    history = stretch(np.zeros(360))
    lane = Lane("1", history, ((history.end_ns - 60_000_000_000, change),))
    pixels, without = drawn(lane), drawn(Lane("1", history))
    columns = np.flatnonzero((pixels != without).any(axis=0))
    # A minute ago is two thirds of the way through three minutes.
    plot_left = np.flatnonzero((without == pixel_of(AMBER)).any(axis=0)).min()
    expected = plot_left + (700 - plot_left) * 2 / 3
    assert columns.min() == pytest.approx(expected, abs=4)
    assert (pixels[:, columns.min()] == pixel_of(TEXT)).sum() > 100


def test_old_events_and_no_history_are_left_out():
    history = stretch(np.zeros(360))
    old = Lane("1", history, ((-5_000_000_000, Change.STEP),))
    assert np.array_equal(drawn(old), drawn(Lane("1", history)))
    assert not rows_of(drawn(Lane("1", None)), AMBER).size
    drawn()


def test_gaps_stay_empty():
    values = np.zeros(360)
    values[200:] = np.nan
    pixels = drawn(Lane("1", stretch(values)))
    assert not rows_of(pixels, AMBER).size


@pytest.mark.parametrize("screen", [(480, 320), (800, 480), (1920, 1080)])
def test_the_number_of_a_pin_stays_inside(screen):
    surface = pygame.Surface((500, 160), 0, 32, (*MASKS, 0))
    strip = Strip((Lane("8", None),), 0.1, 180.0)
    area = Area(100, 0, 400, 150)
    draw_strip(surface, Letters(), strip, area, theme_for(*screen))
    pixels = pygame.surfarray.array2d(surface).T
    assert not pixels[:, : area.left].any()
    assert (pixels[:, area.left : area.left + 40] == pixel_of(TEXT)).any()
