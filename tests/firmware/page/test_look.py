"""What is derived of the page's look."""

import re

import pytest

from firmware.page.application import STATIC
from firmware.page.look import COLOURS, SIDES, colours_css, icon, manifest
from overlays.draw.layout import theme
from overlays.draw.layout.palette import contrast_ratio
from tests.firmware.page.test_sent_picture import decoded

CSS = (STATIC / "page.css").read_text()


def test_the_style_sheet_has_no_colour_of_its_own():
    assert re.findall(r":[^;{]*#[0-9a-f]{3,8}\b[^{]*;", CSS) == []
    # Only what darkens the page behind a sheet.
    assert re.findall(r"rgb\([^)]*\)", CSS) == ["rgb(0 0 0 / .6)"]


def test_every_colour_that_is_used_is_one_of_the_screens():
    used = set()
    for file in STATIC.iterdir():
        text = file.read_text()
        used |= set(re.findall(r"var\(--([a-z-]+)\)", text))
        used |= set(re.findall(r'colour\("([a-z-]+)"\)', text))
    assert used <= set(COLOURS)
    assert f"--amber: #{bytes(theme.AMBER).hex()};" in colours_css()


@pytest.mark.parametrize("words", ["text", "quiet", "red-words", "sky", "amber", "teal-words"])
@pytest.mark.parametrize("under", ["ground", "panel"])
def test_words_can_be_read_in_the_sun(words, under):
    # WCAG 2.2, success criterion 1.4.6: 7 to 1.
    assert contrast_ratio(COLOURS[words], COLOURS[under]) >= theme.LEAST_CONTRAST_TEXT


@pytest.mark.parametrize("side", SIDES)
def test_the_icon_is_mid_grey(side):
    shades = decoded(icon(side), "gray")
    assert shades.shape == (side, side)
    # 18 % of white's light is 118 of sRGB's 255 codes (IEC 61966-2-1).
    assert shades[side // 2, side // 2] == 118
    assert shades[0, 0] == theme.GROUND[1]


def test_the_manifest_names_what_is_there(client):
    made = client.get("/manifest.webmanifest").json()
    assert made == manifest()
    assert made["display"] == "standalone"
    for each in made["icons"]:
        assert client.get(each["src"]).headers["content-type"] == "image/png"
