"""Evenness on the screen: the box of the last two pins, read once a second."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.clock import HandClock
from firmware.evenness import EVERY_NS, EvennessReporter, area_of
from firmware.profiles.shelf import load_profile
from firmware.reported import Asked, PinPlace, Scene, Wishes
from overlays.draw.layout.views import View
from overlays.measure.counting.census import take_census
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.published import published_curve
from overlays.wording.numbers import UNKNOWN
from tests.colour_frames import frame_of

PROFILE = load_profile("log-v")
SPOT = SpotPlace(80, 48, 40)


def scene(light, place=SPOT):
    frame = frame_of(light, "V-Log", noise=0.5)
    yard = yardstick(frame.signal, published_curve("V-Log"))
    return Scene(frame, yard, take_census(frame, yard), place, None, None)


def wishes(*places):
    pins = tuple(PinPlace("", place) for place in places)
    return Wishes(View.PINS, PROFILE, pins, asked=Asked.EVENNESS)


def fall():
    """A stop from the left edge to the right one."""
    light = 0.2 * 2.0 ** -np.linspace(0.0, 1.0, 160)[None, :, None]
    return np.broadcast_to(light, (96, 160, 3))


CORNERS = (SpotPlace(8, 88, 16), SpotPlace(152, 8, 16))
places = st.builds(SpotPlace, st.integers(40, 100), st.integers(40, 60), st.integers(2, 60))


@given(places, places, places)
def test_the_area_is_the_smallest_box_that_holds_the_last_two_pins(first, one, other):
    where = scene_without_a_frame()
    found = area_of(wishes(first, one, other), where)
    assert found == area_of(wishes(other, one), where)
    covered = np.zeros((200, 200), int)
    for pin in (one, other):
        covered[pin.top : pin.top + pin.rows, pin.left : pin.left + pin.size] = 1
    rows, columns = np.nonzero(covered)
    assert (found.left, found.top) == (columns.min(), rows.min())
    assert (found.size, found.rows) == (np.ptp(columns) + 1, np.ptp(rows) + 1)


def scene_without_a_frame():
    return Scene(None, None, None, SPOT, None, None)


def test_without_two_pins_it_is_the_spot_and_says_how_to_span_more():
    for pins in ((), CORNERS[:1]):
        assert area_of(wishes(*pins), scene_without_a_frame()) == SPOT
    report = EvennessReporter(HandClock()).more(scene(fall()), wishes()).report
    assert report.heading == "evenness of the spot"
    assert any("N sets one" in note for note in report.notes)


def test_the_figure_and_where_it_comes_from():
    more = EvennessReporter(HandClock()).more(scene(fall()), wishes(*CORNERS))
    assert more.evenness.place == SpotPlace(80, 48, 160, 96)
    assert more.evenness.map_stops.shape == (3, 6)
    # Cells are 160/6 pixels of 159 wide: middles at 13.3, 40 ... of a fall of 2**-x, by arithmetic.
    cells = 2.0 ** -((160.0 / 12.0 + 160.0 / 6.0 * np.arange(6)) / 159.0)
    expected = max(abs(np.log2(cells / cells.mean())))
    report = more.report
    assert float(report.main.removeprefix("±")) == pytest.approx(expected, abs=0.02)
    assert report.words.startswith(f"even within {report.main} st; brightest ")
    assert " left, darkest " in report.words
    assert report.words.endswith(" right")
    assert [row.label for row in report.rows] == ["brightest, st", "darkest, st", "spread, st"]
    assert report.notes == ()


def test_a_hot_middle_is_called_so():
    light = np.full((96, 160, 3), 0.2)
    light[40:56, 70:90] = 0.3
    area = (SpotPlace(40, 20, 8), SpotPlace(120, 76, 8))
    more = EvennessReporter(HandClock()).more(scene(light), wishes(*area))
    assert more.evenness.map_stops.shape == (4, 6)
    assert "brightest in the middle" in more.report.words


def test_what_cannot_be_read_is_a_sentence():
    reporter = EvennessReporter(HandClock())
    dark = np.full((96, 160, 3), 0.2)
    dark[:, 90:] = 0.0
    more = reporter.more(scene(dark), wishes(*CORNERS))
    assert more.report.main == UNKNOWN
    assert "no light above black" in more.report.words
    outside = reporter.more(scene(fall()), wishes(CORNERS[0], SpotPlace(300, 40, 8)))
    assert outside.report.main == UNKNOWN
    assert outside.evenness is None
    small = reporter.more(scene(fall()), wishes(SpotPlace(8, 8, 4), SpotPlace(8, 8, 4)))
    assert "too small" in small.report.words


def test_it_is_read_once_a_second_and_at_once_where_the_area_is_another():
    clock, where = HandClock(), scene(fall())
    reporter = EvennessReporter(clock)
    first = reporter.more(where, wishes(*CORNERS))
    assert reporter.more(where, wishes(*CORNERS)) is first
    moved = reporter.more(where, wishes(CORNERS[0], SpotPlace(100, 20, 16)))
    assert moved.evenness.place != first.evenness.place
    again = reporter.more(where, wishes(*CORNERS))
    clock.move(EVERY_NS / 1e9)
    assert reporter.more(where, wishes(*CORNERS)) is not again
    hlg = replace(wishes(*CORNERS), profile=load_profile("hlg"))
    assert reporter.more(where, hlg) is not again
