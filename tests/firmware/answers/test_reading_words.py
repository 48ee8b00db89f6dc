from dataclasses import replace

from firmware.answers.reading_words import reading_words
from tests.overlays.draw.conftest import make_measured


def test_spot_and_range_are_said_in_words():
    measured = make_measured()
    said = reading_words(measured.spot, measured.range)
    assert list(said) == ["spot", "level", "R G B", "headroom", "footroom", "clipped"]
    assert said["spot"].endswith(" st")
    assert said["level"].endswith(" %")
    clipped = replace(measured.range, clipped_rgb=(0.02, 0.5, 0.0))
    assert reading_words(measured.spot, clipped)["clipped"] == "50.0 %"
