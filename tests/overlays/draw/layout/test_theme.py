import pytest

from overlays.draw.layout import theme
from overlays.draw.layout.palette import contrast_ratio, lifted
from overlays.measure.counting.bands import BandKind

WORDS = (theme.RED_WORDS, theme.TEAL_WORDS, theme.VIOLET_WORDS, theme.AMBER, theme.SKY)


@pytest.mark.parametrize("ground", [theme.GROUND, theme.PANEL])
@pytest.mark.parametrize("text", [theme.TEXT, theme.QUIET, *WORDS])
def test_text_is_readable_on_every_ground(text, ground):
    assert contrast_ratio(text, ground) >= theme.LEAST_CONTRAST_TEXT


@pytest.mark.parametrize("ground", [theme.GROUND, theme.PANEL])
@pytest.mark.parametrize(
    "mark", [theme.RED, theme.AMBER, theme.TEAL, theme.SKY, theme.VIOLET, *theme.CHANNELS]
)
def test_marks_stand_out_on_every_ground(mark, ground):
    assert contrast_ratio(mark, ground) >= theme.LEAST_CONTRAST_MARK


@pytest.mark.parametrize(
    ("words", "mark"),
    [
        (theme.RED_WORDS, theme.RED),
        (theme.TEAL_WORDS, theme.TEAL),
        (theme.VIOLET_WORDS, theme.VIOLET),
    ],
)
def test_colours_of_words_are_those_of_marks_and_no_lighter_than_they_need_be(words, mark):
    assert words == lifted(mark, theme.PANEL, theme.LEAST_CONTRAST_TEXT)
    assert contrast_ratio(words, theme.PANEL) < theme.LEAST_CONTRAST_TEXT + 0.1


def test_each_kind_of_stripe_has_a_colour_of_its_own():
    made = theme.Theme()
    assert len({made.stripe(kind) for kind in BandKind}) == 3


@pytest.mark.parametrize(
    ("size", "scale"),
    [
        ((1280, 720), 1.0),
        ((800, 480), 0.625),
        ((1920, 1080), 1.5),
        ((1280, 480), 2.0 / 3.0),
        ((1920, 720), 1.0),
        ((1080, 1920), 1.5),
        ((480, 800), 0.625),
    ],
)
def test_the_scale_follows_the_tighter_edge(size, scale):
    assert theme.theme_for(*size).scale == pytest.approx(scale)


def test_type_never_gets_too_small_to_read():
    small = theme.theme_for(320, 200)
    assert small.text_pixels(theme.TextSize.TINY) >= 15
    large = theme.theme_for(1920, 1080)
    assert large.text_pixels(theme.TextSize.MAIN) == 124


def test_a_pixel_is_red_green_blue_from_the_top():
    assert theme.pixel_of((1, 2, 3)) == 0x010203
