import json

import pytest

from firmware.errors import JournalError
from firmware.instruments.registry import REGISTRY
from firmware.journal.inputs import (
    Inputs,
    inputs_object,
    inputs_of,
    profile_of,
    settings_object,
    settings_of,
)
from overlays.measure.counting.clip import FlatTop
from tests.marked import SMALL, in_view

RESTING = {"pins", "chips", "balance"}
"""Instruments whose answers rest on the codes of places."""


@pytest.fixture(scope="module")
def seen():
    return in_view(SMALL)


@pytest.fixture(scope="module")
def inputs(seen):
    yard = seen.yard.under(FlatTop((91.25, None, 1e-17), 0.1), (None, 3.3, None))
    return Inputs.of(seen.frame, yard, seen.desk, seen.place, seen.read_with)


def test_what_a_frame_was_read_with_comes_back_to_the_last_bit(inputs):
    text = json.dumps(inputs_object(inputs), allow_nan=False)
    assert inputs_of(json.loads(text)) == inputs


def test_the_yardstick_is_that_of_the_frame(seen, inputs):
    yard = inputs.yardstick(seen.read_with.profile)
    assert (yard.flat_top, yard.doubts) == (inputs.flat_top, inputs.doubts)
    assert yard.clip_percent == seen.yard.clip_percent
    read_with = inputs.read_with(seen.read_with.profile, 640, 360)
    assert read_with.gamut == seen.read_with.gamut
    assert read_with.info.is_simulated


@pytest.mark.parametrize(
    "change",
    [
        {"signal": None},
        {"shift": 99},
        {"place": {"column": -5, "row": 3, "size": 2, "height": 0}},
        {"place": {"column": 10**12, "row": 3, "size": 2, "height": 0}},
        {"desk": {"pins": [{"name": "", "place": {"column": 1, "row": 1, "size": 10**9}}]}},
    ],
)
def test_what_is_not_that_is_refused(inputs, change):
    with pytest.raises(JournalError):
        inputs_of({**inputs_object(inputs), **change})


@pytest.mark.parametrize(
    "instrument", [each for each in REGISTRY if each.name in RESTING], ids=lambda i: i.name
)
def test_what_an_instrument_is_set_to_comes_back(seen, instrument):
    settings = instrument.settings(seen.read_with.profile, 25.0)
    text = json.dumps(settings_object(settings), allow_nan=False)
    assert settings_of(json.loads(text), settings) == settings


def test_settings_of_another_kind_are_refused():
    like = REGISTRY.in_view(REGISTRY.view("pins")).settings(None, 0.0)
    with pytest.raises(JournalError, match="set to"):
        settings_of({"asked": "nothing"}, like)


def test_a_profile_that_is_none_is_refused():
    with pytest.raises(JournalError, match="profile"):
        profile_of("curve = ", "x")
