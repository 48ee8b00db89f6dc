"""A moment as an object: of every view and instrument alike."""

import json
from dataclasses import replace

import pytest

from firmware.instruments.registry import REGISTRY
from firmware.live.page_standing import seen_of
from firmware.page.moment import moment_object, scale_object, spot_report
from overlays.draw.layout.views import Readings
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import BELIEVED, Alert, Face
from overlays.signal.levels import code_to_percent
from overlays.wording.numbers import typeset

NAMES = [view.name for view in REGISTRY.views()]


@pytest.mark.parametrize("name", NAMES)
def test_every_view_says_what_its_instrument_reports(moments, standing, name):
    shown = moments[name]
    made = moment_object(seen_of(shown, standing))
    json.loads(json.dumps(made, allow_nan=False))
    assert made["view"] == name
    report = made["report"]
    if shown.view.readings is Readings.REPORT:
        own = shown.readable.said.report
        assert report["heading"] == own.heading
        assert [row["label"] for row in report["rows"]] == [row.label for row in own.rows]
        assert report["main"].replace("−", "-") == own.main.replace("−", "-")
    else:
        assert report["heading"].startswith("spot")
        assert {"level", "headroom", "clipped"} <= {row["label"] for row in report["rows"]}
        is_told = shown.view.readings is Readings.BOTH
        assert bool(report["words"]) is is_told
        if is_told:
            assert report["words"] == typeset(shown.readable.said.report.words)


@pytest.mark.parametrize("face", list(Face))
def test_numbers_are_withdrawn_with_the_picture(shown, standing, face):
    made = moment_object(seen_of(replace(shown, face=face, face_words="why"), standing))
    assert made["believed"] is (face in BELIEVED)
    assert (made["report"] is not None) is made["believed"]
    assert (made["frame"] is not None) is made["believed"]
    assert made["face"] == face.value


def test_the_main_number_is_what_the_screen_shows(shown, standing):
    made = moment_object(seen_of(shown, standing))["report"]
    spot = shown.readable.spot
    assert float(made["main"].replace("−", "-")) == pytest.approx(spot.stops, abs=0.006)
    assert made["beside"].startswith("±")
    assert made["spoken"] == f"{made['main']} {made['beside']}"


def test_no_light_is_no_number(shown):
    spot = replace(shown.readable.spot, stops=None, stops_pm=None)
    report = spot_report(spot, shown.readable.range)
    assert (report.main, report.beside) == ("– –", "st")
    assert spot_report(None, shown.readable.range) is None


def test_places_are_shares_of_the_picture(shown, standing):
    made = moment_object(seen_of(shown, standing))
    place, frame = shown.measured.place, shown.measured.frame
    assert made["spot"]["x"] == pytest.approx(place.left / frame.columns, abs=1e-5)
    assert made["spot"]["h"] == pytest.approx(place.rows / frame.rows, abs=1e-5)


def test_warnings_are_all_there_and_each_once(shown, standing):
    warned = replace(shown, warnings=("one", "two", "one"))
    said = moment_object(seen_of(warned, standing))["warnings"]
    assert said.count("one") == 1
    assert {"one", "two"} <= set(said)


def test_an_alert_is_told_with_its_weight(shown, standing):
    hot = replace(shown, alert=Alert("too hot", Tone.ALARM, "HOT"))
    made = moment_object(seen_of(hot, standing))["alert"]
    assert made == {"words": "too hot", "tone": "alarm", "name": "HOT"}


def test_a_scale_lies_where_its_levels_are(shown):
    yard = shown.measured.yard
    made = scale_object(yard)
    low, high = (code_to_percent(code, yard.signal) for code in (-0.5, 255.5))
    for mark in made["percent"]:
        share = (high - float(mark["label"])) / (high - low)
        assert mark["at"] == pytest.approx(share, abs=1 / 128)
    assert {"0 st", "floor"} <= {mark["label"] for mark in made["stops"]}
