import numpy as np
import pytest

from overlays.draw.layout.cube import Cube
from overlays.draw.layout.monitor import PLAIN, Monitor, ViewTransform, shape_of, words_of

LOOK = Cube("workshop.cube", (0.0,) * 3, (1.0,) * 3, np.zeros((2, 3), np.float32))


@pytest.mark.parametrize(
    ("monitor", "viewed", "words"),
    [
        (PLAIN, False, ""),
        (PLAIN, True, "normal view"),
        (Monitor(transform=ViewTransform.AS_SENT), True, "as sent"),
        (Monitor(stop_map=True), True, ""),
        (Monitor(transform=ViewTransform.CUBE, cube=LOOK), True, "workshop.cube"),
        (Monitor(transform=ViewTransform.CUBE, cube=LOOK), False, "workshop.cube"),
        (Monitor(cube=LOOK), True, "normal view"),
        (Monitor(transform=ViewTransform.CUBE, cube=LOOK, stop_map=True), True, ""),
        (Monitor(transform=ViewTransform.CUBE), True, "normal view"),
        (Monitor(times=4), False, "4x"),
        (Monitor(flipped=True), False, "upside down"),
        (Monitor(mirrored=True), False, "mirrored"),
        (Monitor(flipped=True, mirrored=True), False, "turned by 180°"),
        (Monitor(factor=3, frame=0), False, "desqueezed 2x · 2.39:1"),
        (Monitor(factor=0), False, "desqueezed 1.33x"),
    ],
)
def test_what_is_done_to_the_picture_is_said(monitor, viewed, words):
    assert words_of(monitor, is_viewed=viewed) == words


def test_a_squeezed_picture_is_as_much_wider_as_was_asked_for():
    assert shape_of(Monitor(factors=(1.5,), factor=0), 1920, 1080) == (2880, 1080)
    assert shape_of(PLAIN, 1921, 1080) == (1921, 1080)
