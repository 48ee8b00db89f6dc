from dataclasses import replace

import pytest

from firmware.instruments.registry import REGISTRY
from firmware.journal.codes import cut
from firmware.journal.inputs import Inputs, profile_of
from firmware.journal.numbers import Evidence, line_of_view, numbers_in, of_spots, of_view, spots_of
from tests.marked import SMALL, in_view


@pytest.fixture(scope="module")
def seen():
    return in_view(SMALL, "pins")


@pytest.fixture(scope="module")
def scene(seen):
    inputs = Inputs.of(seen.frame, seen.yard, seen.desk, seen.place, seen.read_with)
    places = [seen.place, *(pin.place for pin in seen.desk.pins)]
    profile = profile_of(seen.profile_text, seen.read_with.profile.name)
    return Evidence(cut(seen.frame, places), inputs, profile).scene()


def test_the_spot_and_then_each_pin_read_as_in_the_whole_frame(seen, scene):
    whole = replace(scene, frame=seen.frame, _read={})
    assert spots_of(scene)["spots"] == spots_of(whole)["spots"]
    assert len(spots_of(scene)["spots"]) == 4
    assert spots_of(scene)["frame"] is None


@pytest.mark.parametrize("name", ["pins", "balance"])
def test_a_view_that_rests_on_places_answers_as_in_the_whole_frame(seen, scene, name):
    view = REGISTRY.view(name)
    settings = REGISTRY.in_view(view).settings(seen.read_with.profile, 25.0)
    whole = replace(scene, frame=seen.frame, _read={}, spot=None)
    whole.spot = whole.read(whole.place)
    found = of_view(scene, view, settings)
    assert of_spots(found) == of_spots(of_view(whole, view, settings))
    assert numbers_in(of_spots(found)) > 5
    assert line_of_view(view).instrument.name == name


@pytest.mark.parametrize("name", ["expose", "advice", "watch", "match", "chart"])
def test_one_that_takes_more_has_none(seen, scene, name):
    view = REGISTRY.view(name)
    settings = REGISTRY.in_view(view).settings(seen.read_with.profile, 25.0)
    assert of_view(scene, view, settings) is None


def test_numbers_are_counted_wherever_they_stand():
    assert numbers_in({"a": [1, 2.5, None, True, "3"], "b": {"c": 4}}) == 3
