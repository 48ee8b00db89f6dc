from firmware.profiles.shelf import load_profile
from firmware.reported import PinPlace, Wishes
from overlays.draw.layout.views import View
from overlays.measure.spot.spot import SpotPlace


def test_wishes_are_equal_where_they_wish_the_same():
    profile = load_profile("hlg")
    pin = PinPlace("key", SpotPlace(10, 10, 8))
    assert Wishes(View.PINS, profile, (pin,)) == Wishes(View.PINS, profile, (pin,))
    assert Wishes(View.PINS, profile) != Wishes(View.PINS, profile, marked=1)
