"""The gallery shows what is drawn now: its pictures against the kept means of the same screens."""

import av
import numpy as np
import pytest

from tests.golden.cases import MOMENTS, SCREENS
from tests.golden.gallery import FOLDER, SHOWN, page
from tests.golden.playing import means

MOST_OFF, MOST_EDGE = 2.0, 40.0
"""Of 255, in the mean and in the worst square of eight pixels: what a JPEG leaves."""


@pytest.mark.parametrize("name", SHOWN)
def test_a_picture_of_the_gallery_is_the_screen_as_it_is_kept(name):
    with av.open(str(FOLDER / f"{name}.jpg")) as file:
        shown = next(file.decode(video=0)).to_ndarray(format="rgb24")
    kept = np.load(SCREENS / "means.npz")[name]
    off = np.abs(means(shown).astype(int) - kept.astype(int))
    assert off.mean() < MOST_OFF
    assert off.max() < MOST_EDGE


def test_its_page_says_what_each_is_and_nothing_else_lies_there():
    assert (FOLDER / "README.md").read_text(encoding="utf-8") == page()
    assert {each.stem for each in FOLDER.glob("*.jpg")} == set(SHOWN)
    assert set(SHOWN) <= {moment.name for moment in MOMENTS}
    assert sum(each.stat().st_size for each in FOLDER.iterdir()) < 1_500_000


def test_another_screen_is_not_taken_for_it():
    kept = np.load(SCREENS / "means.npz")
    off = np.abs(kept["expose-standard"].astype(int) - kept["expose-rgb"].astype(int))
    assert off.max() > MOST_EDGE
