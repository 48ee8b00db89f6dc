"""Reports by themselves; `test_reporting` walks through them on the bench."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from firmware.profiles.shelf import load_profile
from firmware.reported import PinPlace, Wishes
from firmware.reports import chips_report, match_pins, match_report, pins_report, watch_report
from firmware.state_colour import Colouring
from overlays.draw.layout.views import View
from overlays.draw.moment.more import Tone
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.measure.watch.change import Change, Tolerance
from overlays.measure.watch.watch import PinChange, TakeEvent, Watch
from overlays.signal.published import published_curve
from overlays.wording.numbers import UNKNOWN
from tests.colour_frames import card, frame_of

PROFILE = load_profile("log-v")
PLACE = SpotPlace(32, 32, 24)


def spot_of(light):
    frame = frame_of(card([light] * 3), "V-Log", noise=0.5)
    return read_spot(frame, yardstick(frame.signal, published_curve("V-Log")), PLACE)


def scene_of(light=0.18):
    frame = frame_of(card([light] * 3), "V-Log", noise=0.5)
    yard = yardstick(frame.signal, published_curve("V-Log"))
    return SimpleNamespace(frame=frame, yard=yard, place=PLACE, spot=read_spot(frame, yard, PLACE))


def wishes(*names):
    pins = tuple(PinPlace(name, PLACE) for name in names)
    return Wishes(View.CHIPS, PROFILE, pins)


def test_chips_by_name_in_whatever_order():
    spots = {1: spot_of(0.0016), 2: spot_of(0.18), 3: spot_of(0.77)}
    report = chips_report(scene_of(), wishes("black", "grey", "white"), spots)
    assert report.words == "all three chips are where they belong"
    assert report.tone is Tone.PLAIN


def test_too_few_chips():
    report = chips_report(scene_of(), wishes("", ""), {1: spot_of(0.5), 2: spot_of(0.2)})
    assert report.main == UNKNOWN


def test_one_pin_is_compared_with_the_spot():
    report = pins_report(scene_of(0.18), wishes("key"), {1: spot_of(0.36)})
    assert float(report.main) == pytest.approx(1.0, abs=0.02)
    assert "the spot" in report.words


def test_a_pin_that_does_not_count_says_why():
    dark = replace(spot_of(0.2), stops=None)
    a, b = {1: dark, 2: spot_of(0.2)}, {1: dark, 2: spot_of(0.1), 7: dark}
    numbers, found = match_pins(a, b, wishes())
    assert numbers == [1, 2]
    report = match_report(numbers, found)
    assert "too dark" in report.rows[0].value
    assert float(report.main) == pytest.approx(1.0, abs=0.03)


def test_the_newest_events_stand_first():
    watch = Watch([1], Tolerance())
    events = [
        (
            TakeEvent(Change.STEP, 0, 0, (PinChange(1, (0.1 * n, 0, 0), (0, 0, 0)),), 1),
            f"12:00:{n:02d}",
        )
        for n in range(9)
    ]
    report = watch_report(watch, events)
    assert report.rows[0].label == "12:00:08"
    assert len(report.rows) == 6
    assert watch_report(None, []).main == UNKNOWN


def test_a_match_goes_by_the_dial_that_was_told_on_the_screen():
    a, b = {1: spot_of(0.2)}, {1: spot_of(0.1)}
    assert match_pins(a, b, wishes())[1].dial_to is None
    told = replace(wishes(), colour=Colouring(dial_kelvin=4300.0))
    assert match_pins(a, b, told)[1].dial_to == pytest.approx(4300.0, abs=150.0)
