"""What a card must be to be balanced by."""

import numpy as np
import pytest

from overlays.measure.balance.balance_check import refusal_of
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent
from tests.colour_frames import card, frame_of


def refusal(linear, size=48, bits=10, noise=1.0):
    frame = frame_of(linear, bits=bits, noise=noise)
    yard = yardstick(frame.signal, published_curve("BT.709"), clip=percent(100))
    return refusal_of(frame, yard, read_spot(frame, yard, SpotPlace(32, 32, size)))


@pytest.mark.parametrize("bits", [8, 10])
@pytest.mark.parametrize("level", [0.02, 0.18, 0.9])
def test_an_even_card_passes(level, bits):
    assert refusal(card([level] * 3), bits=bits, noise=bits / 8.0) is None


def test_a_gentle_fall_of_light_passes():
    fall = np.linspace(0.32, 0.28, 64)[None, :, None]
    assert refusal(np.broadcast_to(fall, (64, 64, 3))) is None


def test_half_off_the_card_does_not():
    linear = np.full((64, 64, 3), 0.3)
    linear[30:] = 0.05
    assert "uneven" in refusal(linear)


def test_both_clipped_channels_are_named():
    assert "red and blue" in refusal(card([1.1, 0.4, 1.1]))


@pytest.mark.parametrize(("clipped", "refused"), [(4, False), (5, True)])
def test_a_card_may_be_clipped_in_a_five_hundredth_of_its_area(clipped, refused):
    # 4 of 48 x 48 pixels are 0.17 %, 5 are 0.22 %; where the limit lies is our own choice.
    linear = np.full((64, 64, 3), 0.8)
    linear[32, 30 : 30 + clipped] = (1.2, 0.8, 0.8)
    said = refusal(linear, noise=0.0)
    assert (said is not None and "clipped in red" in said) is refused


def test_a_tiny_spot_is_not_called_uneven():
    linear = np.full((64, 64, 3), 0.3)
    linear[32:] = 0.28
    assert refusal(linear, size=4, noise=0.0) is None
