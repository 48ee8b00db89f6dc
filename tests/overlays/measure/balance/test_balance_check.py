"""What a card must be to be balanced by."""

from dataclasses import replace

import numpy as np
import pytest

from overlays.measure.balance.balance_check import refusal_of
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent
from tests.colour_frames import card, frame_of


def refusal(linear, size=48, bits=10, noise=1.0, curve="BT.709", **more):
    frame = frame_of(linear, curve, bits, noise, **more)
    clip = percent(100) if curve == "BT.709" else None
    yard = yardstick(frame.signal, published_curve(curve), clip=clip)
    place = SpotPlace(frame.columns // 2, frame.rows // 2, size)
    return refusal_of(frame, yard, read_spot(frame, yard, place))


@pytest.mark.parametrize("bits", [8, 10])
@pytest.mark.parametrize("level", [0.02, 0.18, 0.9])
def test_an_even_card_passes(level, bits):
    assert refusal(card([level] * 3), bits=bits, noise=bits / 8.0) is None


def test_a_gentle_fall_of_light_passes():
    fall = np.linspace(0.32, 0.28, 64)[None, :, None]
    assert refusal(np.broadcast_to(fall, (64, 64, 3))) is None


@pytest.mark.parametrize("curve", ["BT.709", "V-Log"])
@pytest.mark.parametrize(("noise", "blur"), [(4.8, 1.0), (4.8, 2.0), (8.0, 2.0), (12.0, 3.0)])
def test_noise_that_neighbours_share_is_no_second_light(curve, noise, blur):
    # Codes of 10 bits; 12 of them over 3 pixels are worse than denoisers leave.
    even = card([0.3] * 3, 128, 128)
    for seed in range(15):
        assert refusal(even, noise=noise, curve=curve, seed=seed, blur=blur) is None


@pytest.mark.parametrize(("noise", "blur"), [(0.0, 0.0), (1.2, 1.0)])
def test_two_lights_are_known_whichever_way_they_meet(noise, blur):
    y, x = np.mgrid[0:128, 0:128]
    for far in (x > 68, y > 68, x + y > 128, x - y > 0):
        linear = 0.3 * np.where(far[..., None], 2.0 ** np.array([0.25, 0.0, -0.25]), 1.0)
        assert "two lights" in refusal(linear, noise=noise, blur=blur)


def test_half_off_the_card_does_not():
    linear = np.full((64, 64, 3), 0.3)
    linear[30:] = 0.05
    assert "uneven" in refusal(linear)


def test_both_clipped_channels_are_named():
    assert "red and blue" in refusal(card([1.1, 0.4, 1.1]))


def test_all_three_are_named_as_one_says_them():
    assert "in red, green and blue, so" in refusal(card([1.2, 1.1, 1.3]))


def test_the_fullest_channel_is_named_where_none_alone_is_more_than_noise():
    frame = frame_of(card([0.8] * 3), "BT.709", 10, 0.0)
    yard = yardstick(frame.signal, published_curve("BT.709"), clip=percent(100))
    spot = read_spot(frame, yard, SpotPlace(32, 32, 48))
    torn = replace(spot, clipped=0.025, clipped_rgb=(0.008, 0.009, 0.008), explained=0.01)
    assert "clipped in green, so" in refusal_of(frame, yard, torn)


@pytest.mark.parametrize(("clipped", "refused"), [(0, False), (1, True), (5, True)])
def test_a_card_with_a_glint_that_no_noise_explains_has_lost_its_colour(clipped, refused):
    # How bright a glint is cannot be seen, so one pixel of it leaves no ± (test_clipping.py).
    linear = np.full((64, 64, 3), 0.8)
    linear[32, 30 : 30 + clipped] = (1.2, 0.8, 0.8)
    said = refusal(linear, noise=0.0)
    assert (said is not None and "clipped in red" in said) is refused


def test_a_tiny_spot_is_not_called_uneven():
    linear = np.full((64, 64, 3), 0.3)
    linear[32:] = 0.28
    assert refusal(linear, size=4, noise=0.0) is None


def two_halves(other):
    """A card of 0.3 whose right half is `other` times that."""
    linear = np.full((64, 64, 3), 0.3)
    linear[:, 32:] *= other
    return linear


# Where these limits lie is our own choice; what is asked here is that both sides of each are kept.


@pytest.mark.parametrize(("stops", "refused"), [(0.27, False), (0.33, True)])
def test_light_may_fall_by_three_tenths_of_a_stop(stops, refused):
    said = refusal(two_halves(2.0**-stops), noise=0.0)
    assert (said is not None and "uneven by 0.3 stops" in said) is refused


@pytest.mark.parametrize(("stops", "refused"), [(0.08, False), (0.13, True)])
@pytest.mark.parametrize(("channel", "name"), [(0, "red"), (2, "blue")])
def test_two_lights_may_differ_by_a_tenth_of_a_stop(channel, name, stops, refused):
    said = refusal(two_halves(2.0 ** (-stops * np.eye(3)[channel])), noise=0.0)
    assert (said is not None and f"the card's {name} against green" in said) is refused


@pytest.mark.parametrize(("stops", "refused"), [(-4.8, False), (-5.3, True)])
def test_a_card_may_be_dark_to_five_stops_below_mid_grey(stops, refused):
    said = refusal(card([0.18 * 2.0**stops] * 3), noise=0.0)
    assert (said is not None and f"too dark to have a colour ({stops:+.1f} stops)" in said) is (
        refused
    )


@pytest.mark.parametrize(("pixels", "refused"), [(46, False), (48, True)])
def test_a_fiftieth_of_a_card_may_lie_below_black(pixels, refused):
    # Of 48 x 48 pixels a fiftieth is 46.08.
    linear = np.full((64, 64, 3), 0.18)
    linear[8, 8 : 8 + pixels] = -0.01
    said = refusal(linear, noise=0.0)
    assert (said is not None and "too dark" in said) is refused


def test_a_spot_that_reaches_into_pure_colour_does_not_lie_on_the_card_alone():
    linear = np.full((64, 64, 3), 0.3)
    linear[:24] = (0.3, 0.1, -0.01)
    assert "does not lie on the card alone" in refusal(linear, noise=0.0)


@pytest.mark.parametrize(("size", "looked_at"), [(7, False), (8, True)])
def test_a_spot_is_cut_where_its_parts_have_four_pixels(size, looked_at):
    said = refusal(two_halves(0.5), size=size, noise=0.0)
    assert (said is not None and "uneven by 1.0 stops" in said) is looked_at
