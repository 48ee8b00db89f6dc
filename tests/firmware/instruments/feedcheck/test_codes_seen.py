"""Codes of several frames together show a comb that one flat frame does not."""

from types import SimpleNamespace

import numpy as np

from firmware.instruments.feedcheck.codes_seen import SeenCodes
from overlays.measure.counting.census import take_census
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.published import published_curve
from tests.made_feeds import EDGE, grey_frame


def scene(low, high, factor):
    """A ramp of grey whose levels were made more by a factor."""
    codes = np.linspace(low, high, EDGE * EDGE).reshape(EDGE, EDGE)
    frame = grey_frame(np.rint(factor * np.rint(codes)), 8)
    yard = yardstick(frame.signal, published_curve("BT.709"))
    return SimpleNamespace(census=take_census(frame, yard), yard=yard)


def test_a_comb_shows_in_the_codes_of_all_frames_together():
    seen = SeenCodes()
    assert seen.comb is None
    parts = []
    for low in range(20, 200, 15):
        part = SeenCodes()
        part.see(scene(low, low + 15, 255.0 / 219.0))
        parts.append(part.comb)
        seen.see(scene(low, low + 15, 255.0 / 219.0))
    assert parts == [None] * len(parts)
    assert seen.comb is not None


def test_levels_as_they_came_show_none():
    seen = SeenCodes()
    for low in range(20, 200, 15):
        seen.see(scene(low, low + 15, 1.0))
    assert seen.comb is None
