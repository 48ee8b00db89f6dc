from dataclasses import replace

import pytest

from firmware.instruments.codes import cut
from firmware.instruments.counted import Counted
from firmware.instruments.registry import REGISTRY
from firmware.journal.in_view import COUNTED
from firmware.journal.inputs import Inputs, profile_of
from firmware.journal.mark_numbers import (
    Evidence,
    answer_object,
    answer_of,
    numbers_in,
    of_answer,
    of_codes,
    spots_of,
)
from overlays.measure.counting.census import Wants, take_census
from overlays.measure.range.range_reading import Extremes
from tests.marked import SMALL, in_view


@pytest.fixture(scope="module")
def seen():
    return in_view(SMALL, "pins")


@pytest.fixture(scope="module")
def scene(seen):
    inputs = replace(
        Inputs.of(seen.frame, seen.yard, seen.desk, seen.place, seen.read_with),
        extremes=Extremes.of(seen.range),
        counts=Counted.of(take_census(seen.frame, seen.yard, COUNTED | Wants.RGB)),
    )
    places = [seen.place, *(pin.place for pin in seen.desk.pins), *inputs.things]
    profile = profile_of(seen.profile_text, seen.read_with.profile.name)
    return Evidence(cut(seen.frame, places), inputs, profile).scene()


def whole_of(seen, scene):
    """The same scene with the whole frame, its own census and its own extremes."""
    census = take_census(seen.frame, seen.yard, COUNTED | Wants.RGB)
    whole = replace(scene, frame=seen.frame, census=census, range=seen.range, _read={}, spot=None)
    whole.spot = whole.read(whole.place)
    return whole


def drop(found):
    """Without what says only what was read, and with what."""
    return {key: found[key] for key in found.keys() - {"schema", "feed", "profile", "warnings"}}


def test_the_spot_and_then_each_pin_read_as_in_the_whole_frame(seen, scene):
    whole = whole_of(seen, scene)
    assert spots_of(scene)["spots"] == spots_of(whole)["spots"]
    assert len(spots_of(scene)["spots"]) == 4


def test_headroom_shares_and_extremes_read_as_in_the_whole_frame(seen, scene):
    found = spots_of(scene)["frame"]
    assert found == spots_of(whole_of(seen, scene))["frame"]
    assert found["headroom"] is not None
    assert 0.0 <= found["clipped"]["r"] < 1.0


@pytest.mark.parametrize("name", ["pins", "balance", "expose", "advice", "chips"])
def test_a_view_that_rests_on_places_answers_as_in_the_whole_frame(seen, scene, name):
    view = REGISTRY.view(name)
    settings = REGISTRY.in_view(view).settings(seen.read_with.profile, 25.0)
    whole = whole_of(seen, scene)
    line = REGISTRY.line_in_view(view)
    found = answer_object(answer_of(scene, line, settings), line)
    assert drop(found) == drop(answer_object(answer_of(whole, line, settings), line))
    assert numbers_in(drop(found)) > 5


@pytest.mark.parametrize("name", ["watch", "chart"])
def test_one_that_takes_more_has_none(seen, scene, name):
    view = REGISTRY.view(name)
    settings = REGISTRY.in_view(view).settings(seen.read_with.profile, 25.0)
    assert answer_of(scene, REGISTRY.line_in_view(view), settings) is None


def test_a_match_without_camera_a_is_an_answer_and_no_object(seen, scene):
    line = REGISTRY.line_in_view(REGISTRY.view("match"))
    settings = line.instrument.settings(seen.read_with.profile, 25.0)
    assert answer_object(answer_of(scene, line, settings), line) is None


def test_numbers_are_counted_wherever_they_stand():
    assert numbers_in({"a": [1, 2.5, None, True, "3"], "b": {"c": 4}}) == 3


def test_marks_of_before_have_no_counts_and_their_picture_is_not_made_again(seen):
    inputs = Inputs.of(seen.frame, seen.yard, seen.desk, seen.place, seen.read_with)
    found = {"schema": 1, "feed": {}, "spots": [], "frame": {"headroom": 1.0}}
    assert of_codes(found, inputs) == {"spots": []}
    assert of_answer(found) == {"spots": [], "frame": {"headroom": 1.0}}
