"""The picture of a chart, and of two looks."""

import pygame
import pytest

from firmware.clock import HandClock
from firmware.errors import ScreenError
from firmware.instruments.asking import Opener
from firmware.instruments.chart import ChartOptions
from firmware.instruments.chart.chart_png import SIZE, save_picture
from firmware.instruments.chart.instrument import INSTRUMENT

BENCH = "bench:size=960x540,signal=yuv444-10"


@pytest.fixture(scope="module")
def looks():
    """A chart, the same under two looks."""
    options = ChartOptions(feed=BENCH, gamut="BT.709", against=f"{BENCH},gamut=V-Gamut")
    return INSTRUMENT.ask(options, Opener(HandClock()))


@pytest.fixture(scope="module")
def chart():
    return INSTRUMENT.ask(ChartOptions(feed=BENCH, gamut="BT.709"), Opener(HandClock()))


def test_both_pictures_are_written_and_differ(chart, looks, tmp_path):
    one, two = tmp_path / "one.png", tmp_path / "two.png"
    save_picture(one, chart)
    save_picture(two, looks)
    shots = [pygame.image.load(str(path)) for path in (one, two)]
    assert all(shot.get_size() == SIZE for shot in shots)
    assert one.read_bytes() != two.read_bytes()


def test_a_folder_that_is_not_there(chart, tmp_path):
    with pytest.raises(ScreenError, match="cannot be written"):
        save_picture(tmp_path / "none" / "x.png", chart)
