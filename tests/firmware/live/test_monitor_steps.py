"""What is done to the picture on the screen; and that nothing of it touches what is measured."""

from dataclasses import replace

import numpy as np
import pytest

from firmware.actions import Press
from firmware.live.monitor_steps import MONITOR_STEPS
from overlays.draw.layout.cube import Cube
from overlays.draw.layout.monitor import PLAIN, Monitor, ViewTransform, without_cube
from tests.moments import every_view

FEED = "bench:noise=0,size=640x360,rate=2,curve=V-Log,signal=yuv422-10"


def pressed(press, times=1, monitor=PLAIN):
    for _ in range(times):
        monitor = MONITOR_STEPS[press](monitor)
    return monitor


@pytest.mark.parametrize(
    ("press", "round_trip"),
    [
        (Press.VIEW_TRANSFORM, len(ViewTransform) - 1),  # no table of one's own
        (Press.STOP_MAP, 2),
        (Press.MAGNIFY, 3),
        (Press.FRAME_LINES, 4),
        (Press.DESQUEEZE, 5),
        (Press.EDGES, 2),
        (Press.FLIP, 2),
        (Press.MIRROR, 2),
    ],
)
def test_pressed_often_enough_everything_is_as_it_was(press, round_trip):
    seen = [pressed(press, times) for times in range(round_trip + 1)]
    assert len(set(seen[:-1])) == round_trip
    assert seen[-1] == PLAIN


def test_a_table_of_ones_own_is_chosen_where_there_is_one():
    own = Monitor(cube=Cube("look", (0.0,) * 3, (1.0,) * 3, np.zeros((2, 3), np.float32)))
    seen = [pressed(Press.VIEW_TRANSFORM, times, own) for times in range(4)]
    assert [each.own for each in seen] == [None, None, own.cube, None]
    assert seen[3] == own
    # Of another profile, whose table it is not.
    assert without_cube(seen[2]) == PLAIN
    assert without_cube(seen[1]) == pressed(Press.VIEW_TRANSFORM)


def test_each_press_changes_its_own_thing():
    assert pressed(Press.MAGNIFY).times == 2
    assert pressed(Press.FRAME_LINES, 2).ratio == 1.85
    assert pressed(Press.DESQUEEZE, 4).desqueeze == 2.0
    assert pressed(Press.FLIP) == replace(PLAIN, flipped=True)
    own = Monitor(ratios=(4 / 3,), factors=(1.25,))
    assert pressed(Press.FRAME_LINES, monitor=own).ratio == 4 / 3
    assert pressed(Press.DESQUEEZE, monitor=own).desqueeze == 1.25


def read(presses):
    """How the picture is shown, and all that is measured of a feed in three views after presses."""
    seen = []

    def kept(shown):
        measured = shown.measured
        said = measured.said.report if measured.said else None
        counts = measured.census.levels.tobytes()  # its buffer is lent
        seen.append(
            (shown.monitor, (shown.view, repr(measured.spot), repr(measured.range), said, counts))
        )

    pins = ((389, 155), (320, 180))
    views = ["balance", "expose", "pins"]
    every_view(FEED, "log-v", kept, pins=pins, views=views, presses={"balance": tuple(presses)})
    assert len(seen) >= len(views)
    return seen


def test_no_reading_changes_with_anything_that_is_done_to_the_picture():
    plain = read((Press.HELP, Press.HELP))
    done = read(MONITOR_STEPS)
    monitor = done[0][0]
    changed = [name for name in PLAIN.__slots__ if getattr(monitor, name) != getattr(PLAIN, name)]
    assert len(changed) == len(MONITOR_STEPS)
    assert plain[0][0] == PLAIN
    assert [each for _, each in plain] == [each for _, each in done]
