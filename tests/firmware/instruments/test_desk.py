"""Pins and the dial by themselves; what a press does to them is in the state's tests."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.instruments.desk import Desk, PinPlace, inside, pins_of
from firmware.profiles.shelf import load_profile
from overlays.draw.chroma.graticule import GAINS
from overlays.measure.colour.whitepoint import WhitePoint
from overlays.measure.pins.lighting import MOST_PINS
from overlays.measure.spot.spot import SpotPlace, check_place

KIT = replace(load_profile("log-v"), pins=(("white", 0.61, 0.43), ("edge", 1.0, 1.0)))
SIZES = st.tuples(st.integers(8, 4096), st.integers(8, 2304))


def test_pins_of_a_profile_are_held_inside_of_the_picture():
    white, edge = pins_of(KIT, 1920, 1080)
    assert (white.name, edge.name) == ("white", "edge")
    assert white.place.column == 1171
    assert edge.place.left + edge.place.size == 1920
    assert edge.place.top + edge.place.rows == 1080


def test_another_profile_brings_its_own_pins_and_leaves_dial_and_gain():
    desk = Desk((PinPlace("mine", SpotPlace(9, 9, 4)),), dial_kelvin=4300.0, gain=2)
    made = desk.with_pins_of(KIT, 1920, 1080)
    assert [pin.name for pin in made.pins] == ["white", "edge"]
    assert (made.dial_kelvin, made.gain) == (4300.0, 2)
    assert made.with_pins_of(load_profile("hlg"), 1920, 1080).pins == ()


def test_a_pin_is_set_where_the_spot_is_and_the_last_is_lifted():
    spot = SpotPlace(300, 200, 48)
    made = Desk(pins_of(KIT, 1920, 1080)).with_pin(spot)
    assert made.pins[-1] == PinPlace("", spot, by_hand=True)
    assert [pin.name for pin in made.pins] == ["white", "edge", ""]
    assert [pin.name for pin in made.without_last_pin().pins] == ["white", "edge"]
    assert Desk().without_last_pin() == Desk()


def test_there_are_never_more_than_eight_and_the_eighth_is_moved():
    desk = Desk()
    for column in range(100, 1300, 100):
        desk = desk.with_pin(SpotPlace(column, 200, 48))
    assert len(desk.pins) == MOST_PINS == 8
    assert [pin.place.column for pin in desk.pins] == [*range(100, 800, 100), 1200]


@given(SIZES, SIZES)
def test_pins_stay_inside_of_any_picture(before, after):
    desk = Desk().with_pins_of(KIT, *before)
    for size, made in ((before, desk), (after, desk.resized(before, after))):
        assert [pin.name for pin in made.pins] == ["white", "edge"]
        for pin in made.pins:
            check_place(pin.place, size[1], size[0])


def test_on_a_picture_of_another_size_pins_keep_their_place_and_share():
    desk = Desk((PinPlace("a", SpotPlace(480, 270, 48)),), gain=4)
    made = desk.resized((1920, 1080), (1280, 720))
    assert made == Desk((PinPlace("a", SpotPlace(320, 180, 32)),), gain=4)


@given(SIZES, st.integers(-9000, 9000), st.integers(-9000, 9000), st.integers(-9, 9000))
def test_the_nearest_spot_inside_lies_inside(size, column, row, edge):
    check_place(inside(column, row, edge, *size), size[1], size[0])


def test_a_spot_that_lies_inside_stays_where_it_is():
    assert inside(960, 540, 48, 1920, 1080) == SpotPlace(960, 540, 48)


@pytest.mark.parametrize(
    ("told", "of_profile", "expected"),
    [
        (None, None, None),
        (None, WhitePoint(3200.0, 0.002), WhitePoint(3200.0, 0.002)),
        (4300.0, None, WhitePoint(4300.0, 0.0)),
        (4300.0, WhitePoint(3200.0, 0.002), WhitePoint(4300.0, 0.002)),
    ],
)
def test_the_dial_that_was_told_goes_before_the_profiles_and_keeps_its_tint(
    told, of_profile, expected
):
    assert Desk(dial_kelvin=told).dial(of_profile) == expected


def test_the_gain_goes_round():
    desks = [Desk()]
    for _ in GAINS:
        desks.append(desks[-1].with_next_gain())
    assert [desk.gain for desk in desks] == [*GAINS, GAINS[0]]
    assert replace(desks[1], gain=1) == Desk()  # nothing else is changed


def test_chips_get_pins_by_name_and_others_stay_as_far_as_there_is_room():
    places = [SpotPlace(10 * n, 20, 8) for n in (1, 2, 3)]
    others = tuple(PinPlace(f"p{n}", SpotPlace(n, n, 2)) for n in range(MOST_PINS - 1))
    made = Desk((PinPlace("Grey", SpotPlace(5, 5, 2)), *others)).with_chips(places)
    assert len(made.pins) == MOST_PINS
    assert made.pins[: MOST_PINS - 3] == others[: MOST_PINS - 3]
    assert [(pin.name, pin.place, pin.by_hand) for pin in made.pins[-3:]] == [
        (name, place, True) for name, place in zip(("white", "grey", "black"), places, strict=True)
    ]
    assert made.chips() == (MOST_PINS - 2, MOST_PINS - 1, MOST_PINS)


def test_a_spot_is_two_pixels_wide_at_least():
    assert [inside(10, 10, size, 640, 360).size for size in (0, 1, 2, 3)] == [2, 2, 2, 3]
    assert inside(0, 0, 50, 2, 2).size == 2
