from dataclasses import replace

import pytest

from firmware.instruments.asking import scene_of
from firmware.instruments.desk import Desk, PinPlace
from firmware.opening.read_with import read_with
from firmware.profiles.shelf import load_profile
from overlays.errors import SpotOutsideError
from overlays.measure.spot.spot import SpotPlace

INSIDE, OUTSIDE = SpotPlace(20, 20, 8), SpotPlace(1, 1, 8)


@pytest.fixture
def scene(frame, info):
    def made(profile="log-v", warnings=(), notes=(), pins=()):
        derived = read_with(load_profile(profile), replace(info(), warnings=warnings))
        found = scene_of(frame(notes=notes), derived, ())
        found.desk = Desk(tuple(PinPlace(name, place) for name, place in pins))
        return found

    return made


def test_pins_outside_of_the_picture_are_left_out_and_keep_their_numbers(scene):
    found = scene(pins=[("a", OUTSIDE), ("b", INSIDE)])
    assert list(found.pins()) == [2]


def test_without_pins_the_spot_stands_for_the_first(scene):
    found = scene()
    assert found.pins()[1].place == found.place


def test_a_spot_is_read_once(scene):
    found = scene()
    assert found.read(INSIDE) is found.read(INSIDE)
    with pytest.raises(SpotOutsideError):
        found.read(OUTSIDE)


def test_flags_carry_number_and_name(scene):
    found = scene(pins=[("key", INSIDE), ("", INSIDE)])
    assert [flag.label for flag in found.pin_flags().pins] == ["1 key", "2"]


def test_the_origin_says_every_doubt_once(scene):
    found = scene(warnings=("it is interlaced, so",), notes=("interlaced", "torn")).origin
    assert found.warnings == ("it is interlaced, so", "torn")
    assert (found.columns, found.rows) == (96, 64)
    assert found.profile_name == "log-v"
