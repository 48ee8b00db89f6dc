import pytest

from firmware.profiles.model import NO_PROFILE, Profile, curve_alone
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent, stops
from overlays.signal.signal import Signal

TEN_BIT = Signal(bits=10)


def test_yardstick_lays_the_profiles_clip_and_floor_on_the_feed():
    profile = Profile("kit", "Kit", published_curve("V-Log"), clip=stops(6.0), floor=percent(8.0))
    yard = profile.yardstick(TEN_BIT)
    assert yard.clip_stops == pytest.approx(6.0, abs=1e-9)
    assert yard.floor_percent == 8.0
    assert yard.signal is TEN_BIT


def test_yardstick_is_told_the_shift_of_the_samples():
    assert curve_alone(published_curve("HLG")).yardstick(TEN_BIT, shift=6).shift == 6


def test_carriage_is_the_curves_own_until_the_profile_says_another():
    curve = published_curve("S-Log2")
    assert Profile("a", "A", curve).laid is Carriage.NARROW
    assert Profile("a", "A", curve, Carriage.FULL).laid is Carriage.FULL
    narrow = Profile("a", "A", curve).yardstick(TEN_BIT).carried.stops_to_percent(0.0)
    full = Profile("a", "A", curve, Carriage.FULL).yardstick(TEN_BIT).carried.stops_to_percent(0.0)
    assert narrow != full


def test_a_curve_alone_is_no_profile():
    assert curve_alone(published_curve("PQ")).name == NO_PROFILE
