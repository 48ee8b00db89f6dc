"""The picture of a chart, and of two looks."""

import pygame
import pytest

from firmware.chart_picture import SIZE, save_picture
from firmware.charting import read_look
from firmware.clock import HandClock
from firmware.errors import ScreenError
from firmware.written.options import ChartOptions
from overlays.measure.chart.looks import compare_looks

BENCH = "bench:size=960x540,signal=yuv444-10"


def test_both_pictures_are_written_and_differ(tmp_path):
    options = ChartOptions(BENCH, gamut="BT.709")
    first = read_look(options, BENCH, None, HandClock())
    second = read_look(options, f"{BENCH},gamut=V-Gamut", None, HandClock())
    one, two = tmp_path / "one.png", tmp_path / "two.png"
    save_picture(one, first, None, None)
    save_picture(two, first, second, compare_looks(first.reading, second.reading))
    shots = [pygame.image.load(str(path)) for path in (one, two)]
    assert all(shot.get_size() == SIZE for shot in shots)
    assert one.read_bytes() != two.read_bytes()
    with pytest.raises(ScreenError, match="cannot be written"):
        save_picture(tmp_path / "none" / "x.png", first, None, None)
