"""Picture and main reading of every view are as large as is said, and large enough."""

from pathlib import Path

import pytest

from overlays.draw.layout.lettering import Text
from overlays.draw.layout.theme import TEXT
from tests.laid import Paper
from tests.legible import ARM_MM, PANELS, UPRIGHT, figure_rows, minutes, sizes, table

LEAST = 16.0
"""Arc minutes that figures are high at the least (ISO 9241-303, from memory)."""


def test_the_table_of_the_documentation_is_what_is_drawn():
    told = (Path(__file__).parents[3] / "DEVELOPERS.md").read_text(encoding="utf-8")
    for line in (*table(), *table(UPRIGHT)):
        assert line in told


def test_the_main_reading_of_every_view_is_read_at_its_distance():
    poor = {}
    for panels in (PANELS, UPRIGHT):
        for view, each in sizes(panels).items():
            for panel, size in zip(panels, each, strict=True):
                if size.minutes < LEAST:
                    poor[view, panel] = round(size.minutes, 1)
    assert poor == {}


def test_during_a_take_the_picture_has_most_of_the_screen():
    for view, each in sizes().items():
        if view not in {"target", "chart"}:
            assert all(size.share >= 0.7 for size in each), view
            assert all(size.free >= 0.45 for size in each[1:]), view


def test_an_angle_is_that_of_its_rows():
    # A degree at 57.3 mm is a millimetre; 60 minutes, on a panel of one pixel a millimetre.
    size = (480, 320)
    pitch_mm = 25.4 * PANELS[size] / (480**2 + 320**2) ** 0.5
    assert minutes(100, size, 100 * pitch_mm * 57.29) == pytest.approx(60.0, rel=1e-3)
    paper = Paper(size)
    assert figure_rows(paper, Text("0", 0, 0, 100, TEXT)) == pytest.approx(70, abs=4)
    assert ARM_MM < 700.0
