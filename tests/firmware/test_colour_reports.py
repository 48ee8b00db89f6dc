"""The views of colour on the bench: off, advice, dial, in tolerance; found, moved, given back."""

from dataclasses import replace

import pytest

from firmware.clock import HandClock
from firmware.colour_reports import CHART_EVERY_NS, ColourReporter
from firmware.feeds.base import Pace
from firmware.feeds.bench.feed import BenchFeed
from firmware.profiles.model import Profile
from firmware.remembered import Remembered
from firmware.reported import Scene, Wishes
from firmware.state_colour import Colouring
from overlays.draw.layout.views import View
from overlays.draw.moment.more import Tone
from overlays.draw.moment.shown import Face
from overlays.measure.counting.census import Wants, take_census
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.gamuts import published_gamut
from overlays.signal.published import published_curve

PROFILE = Profile("kit", "Kit", published_curve("BT.709"), gamut=published_gamut("BT.709"))
MIDDLE = SpotPlace(480, 270, 24)


def scene(options="", place=MIDDLE):
    feed = BenchFeed(
        f"size=960x540,signal=yuv444-10,cloud=0{options}", clock=HandClock(), pace=Pace.STEP
    )
    frame = feed.read(1.0)
    yard = yardstick(frame.signal, PROFILE.curve)
    census = take_census(frame, yard, Wants.LEVELS | Wants.CHROMA)
    return Scene(frame, yard, census, place, None, None)


def wishes(view, **colour):
    return Wishes(view, PROFILE, colour=Colouring(**colour))


def test_the_walk_from_wrong_to_right():
    reporter = ColourReporter(HandClock())
    light = ",kelvin=3200,tint=5"
    first = reporter.balance(
        scene(f"{light},dial=5600"), wishes(View.BALANCE, dial_kelvin=5600.0)
    ).report
    assert first.main == "3200"
    assert "tint 5 towards magenta" in first.words
    second = reporter.balance(
        scene(f"{light},dial=3200,dial-tint=5"), wishes(View.BALANCE, dial_kelvin=3200.0)
    ).report
    assert second.main == "OK"
    assert "in tolerance" in second.words


def test_without_a_dial_it_is_asked_for_and_a_refusal_is_alarming():
    reporter = ColourReporter(HandClock())
    asked = reporter.balance(scene(",kelvin=3200,dial=5600"), wishes(View.BALANCE)).report
    assert asked.main == "off"
    assert asked.rows[0].value == "not known"
    refused = reporter.balance(scene(",exposure=5"), wishes(View.BALANCE)).report
    assert refused.tone is Tone.ALARM
    assert "clipped" in refused.words
    assert refused.rows == ()


def test_a_ghost_is_the_census_of_its_moment():
    reporter = ColourReporter(HandClock())
    warm, cold = scene(",kelvin=3200,dial=5600"), scene(",kelvin=7500,dial=5600")
    assert reporter.balance(warm, wishes(View.BALANCE)).ghost is None
    kept = reporter.balance(warm, wishes(View.BALANCE, ghosts=1)).ghost
    assert (kept.chroma == warm.census.chroma).all()
    again = reporter.balance(cold, wishes(View.BALANCE, ghosts=1)).ghost
    assert again is kept
    assert reporter.balance(cold, wishes(View.BALANCE, ghosts=2)).ghost is None


def test_the_chart_is_found_once_a_second():
    clock = HandClock()
    reporter, where = ColourReporter(clock), scene()
    first = reporter.chart(where, wishes(View.CHART))
    assert first.report.heading == "bench chart"
    assert first.chart.reading.mean_de00 < 0.3
    assert first.chart.chosen is None
    assert reporter.chart(where, wishes(View.CHART)) is first
    clock.move(CHART_EVERY_NS / 1e9)
    assert reporter.chart(where, wishes(View.CHART)) is not first


def test_corners_are_moved_from_where_the_chart_was_found():
    reporter, where = ColourReporter(HandClock()), scene()
    found = reporter.chart(where, wishes(View.CHART)).chart.corners
    offsets = ((2.0, 1.0), (0.0, 0.0), (0.0, 0.0), (0.0, 0.0))
    moved = reporter.chart(where, wishes(View.CHART, offsets=offsets)).chart
    assert moved.corners.points[0] == (
        pytest.approx(found.points[0][0] + 2.0),
        pytest.approx(found.points[0][1] + 1.0),
    )
    assert moved.corners.points[1:] == found.points[1:]
    assert moved.chosen == 0
    assert moved.reading.mean_de00 < 0.3
    far = ((-300.0, 0.0), (0.0, 0.0), (0.0, 0.0), (0.0, 0.0))
    lost = reporter.chart(where, wishes(View.CHART, offsets=far))
    assert lost.chart.reading is None
    assert lost.report.tone is Tone.ALARM
    back = reporter.chart(where, wishes(View.CHART))
    assert back.chart.reading is not None


def test_corners_start_in_the_picture_where_none_were_found():
    reporter = ColourReporter(HandClock())
    offsets = ((0.0, 0.0),) * 4
    shown = reporter.chart(scene(), wishes(View.CHART, offsets=offsets)).chart
    assert shown.corners.points[0] == (192.0, 108.0)
    assert shown.reading is None


def test_a_held_frame_has_the_ghost_and_the_corners_that_were_found_live():
    kept = Remembered()
    live = ColourReporter(HandClock(), kept)
    held = ColourReporter(HandClock(), kept, Face.HELD)
    warm, cold = scene(",kelvin=3200,dial=5600"), scene(",kelvin=7500,dial=5600")
    ghost = live.balance(warm, wishes(View.BALANCE, ghosts=1)).ghost
    holding = replace(wishes(View.BALANCE, ghosts=1), held=True)
    assert held.balance(cold, holding).ghost is ghost
    # While it is held, a new ghost is of that frame, whichever is measured first.
    holding = replace(wishes(View.BALANCE, ghosts=3), held=True)
    assert live.balance(warm, holding).ghost is ghost
    assert (held.balance(cold, holding).ghost.chroma == cold.census.chroma).all()
    found = live.chart(scene(), wishes(View.CHART)).chart.corners
    moved = wishes(View.CHART, offsets=((1.0, 0.0), (0.0, 0.0), (0.0, 0.0), (0.0, 0.0)))
    corners = held.chart(scene(), replace(moved, held=True)).chart.corners
    assert corners.points[1:] == found.points[1:]
