import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.draw.layout.panel_size import ARM_MM, FIGURE, READ_MINUTES, PanelSize
from overlays.draw.layout.theme import FULL_ROWS, TextSize, Theme, theme_for

SIZES: list[tuple[int, int]] = [
    (480, 320),
    (800, 480),
    (1024, 600),
    (1280, 720),
    (1920, 1080),
    (720, 1280),
]


def minutes(pixels, panel, size):
    height_mm = pixels / panel.per_mm(*size)
    return 60.0 * math.degrees(2.0 * math.atan(height_mm / 2.0 / panel.distance_mm))


def test_pixels_to_a_millimetre_are_those_along_the_diagonal():
    assert PanelSize(254.0).per_mm(600, 800) == pytest.approx(1000 / 254.0)


@given(st.floats(50.0, 2000.0), st.floats(200.0, 4000.0), st.sampled_from(SIZES))
def test_the_em_that_is_asked_for_has_figures_of_that_angle(diagonal, distance, size):
    panel = PanelSize(diagonal, distance)
    assert minutes(FIGURE * panel.legible_em(*size), panel, size) == pytest.approx(
        READ_MINUTES, rel=1e-4
    )


@given(st.floats(50.0, 2000.0), st.floats(200.0, 4000.0), st.sampled_from(SIZES))
def test_words_are_as_large_as_they_must_be_or_as_there_is_room_for(diagonal, distance, size):
    panel = PanelSize(diagonal, distance)
    plain, made = theme_for(*size), theme_for(size[0], size[1], panel)
    assert made.scale == plain.scale
    for each in TextSize:
        assert made.text_pixels(each) >= plain.text_pixels(each)
    rows = min(size)
    # As a screen of that many rows has them, in pixels of its own.
    assert made.text_pixels(TextSize.BODY) <= max(
        plain.text_pixels(TextSize.BODY), math.ceil(19 * rows / FULL_ROWS)
    )
    angle = minutes(FIGURE * made.text_pixels(TextSize.BODY), panel, size)
    assert angle > READ_MINUTES - 1.0 or made.least == pytest.approx(max(rows / FULL_ROWS, 1.0))


@pytest.mark.parametrize("inches", [5.5, 7.0])
def test_a_small_sharp_panel_has_larger_words_and_a_large_one_has_not(inches):
    body = TextSize.BODY
    small, large = PanelSize(25.4 * inches), PanelSize(25.4 * 24.0)
    assert theme_for(1920, 1080, small).text_pixels(body) == 43
    assert theme_for(1920, 1080, large) == Theme(1.5, 1.0, large.per_mm(1920, 1080))
    assert theme_for(1920, 1080).text_pixels(body) == 34


def test_an_arm_is_meant_where_nobody_says_how_far():
    assert PanelSize(100.0).distance_mm == ARM_MM == 600.0
