import pytest

from firmware.errors import QuantityError
from firmware.profiles.camera_controls import Camera, Limits, controls_of
from firmware.profiles.settings_text import parse_setting
from overlays.measure.expose.advice import Shooting, single_moves
from overlays.measure.expose.mains import Mains
from overlays.measure.expose.sequences import ControlKind

ISO, APERTURE = ControlKind.ISO, ControlKind.APERTURE
ND, SHUTTER = ControlKind.ND, ControlKind.SHUTTER


def test_only_what_is_known_is_advised_on():
    camera = Camera().standing_at(iso="800")
    found = controls_of(camera, 25.0)
    assert [control.kind for control in found.controls] == [ISO]
    assert "limits of iso are unknown" in found.warnings[0]
    assert controls_of(Camera(), 25.0).controls == ()


def test_limits_cut_the_sequence():
    camera = Camera(iso=Limits("800", "400", "3200"), aperture=Limits("4", "2.8", "11", every=3))
    aperture, iso = controls_of(camera, 25.0).controls
    assert [each.value for each in iso.allowed][:2] == [400, 500]
    assert iso.allowed[-1].value == 3200
    assert [each.value for each in aperture.allowed] == [11.0, 8.0, 5.6, 4.0, 2.8]
    assert controls_of(camera, 25.0).warnings == ()


def test_a_list_of_settings():
    camera = Camera(nd=Limits("0", only=("0", "0.6", "1.2", "1.8")))
    (nd,) = controls_of(camera, 25.0).controls
    assert [each.value for each in nd.allowed] == [1.8, 1.2, 0.6, 0.0]


def test_angles_that_suit_the_mains_join_the_sequence():
    camera = Camera(mains=Mains.HZ50, shutter=Limits("180 deg"))
    (shutter,) = controls_of(camera, 24.0).controls
    labels = {each.label for each in shutter.allowed}
    assert {"172.8 deg", "86.4 deg", "180 deg"} <= labels
    moves = single_moves(1.0, [shutter], camera.shooting(24.0))
    assert moves[0].to.label == "86.4 deg"


def test_filters_in_stops_stay_in_stops():
    (nd,) = controls_of(Camera().standing_at(nd="2 st"), 25.0).controls
    assert all(each.stops == round(each.stops) for each in nd.allowed)


def test_unknown_mains_are_asked_for():
    found = controls_of(Camera().standing_at(shutter="1/50"), 25.0)
    assert any("mains" in each for each in found.warnings)
    known = controls_of(Camera(mains=Mains.NONE).standing_at(shutter="1/50"), 25.0)
    assert not any("mains" in each for each in known.warnings)


def test_the_rate_of_the_profile_comes_first():
    assert Camera(rate=24.0).shooting(25.0).rate == 24.0
    assert Camera().shooting(25.0).rate == 25.0
    assert Camera().shooting(0.0).rate is None


def test_filters_stack_two_at_a_time():
    camera = Camera(nd=Limits("none", filters=("1/4", "1/8", "1/64")))
    (control,) = controls_of(camera, 25.0).controls
    # Alone 2, 3 and 6 stops; two of them 5, 8 and 9; and none.
    assert [round(-each.stops, 6) for each in control.allowed] == [9, 8, 6, 5, 3, 2, 0]
    (move,) = single_moves(5.0, [control], camera.shooting(25.0))
    assert move.to.label == "ND 1/4 + 1/8"
    assert move.residual_stops == pytest.approx(0.0, abs=1e-9)
    assert parse_setting(ND, str(move.to.value)) == move.to  # as the command line takes it
    assert controls_of(camera, 25.0).warnings == ()


def test_one_filter_is_better_than_two_that_take_as_much():
    (control,) = controls_of(Camera(nd=Limits("0", filters=("0.3", "0.6", "0.9"))), 25.0).controls
    assert "ND 0.9" in [each.label for each in control.allowed]
    assert "ND 0.3 + 0.6" not in [each.label for each in control.allowed]


def test_a_limit_above_25600_is_reached():
    """Issue: with highest = 102400 an ISO of 25600 was answered by "no control has it"."""
    camera = Camera(25.0, iso=Limits("25600", "100", "102400"))
    (control,) = controls_of(camera, 25.0).controls
    assert control.allowed[-1].label == "ISO 102400"
    (move, *_) = single_moves(-2.0, [control], Shooting(25.0))
    assert (move.to.label, move.residual_stops) == ("ISO 102400", 0.0)


@pytest.mark.parametrize(
    ("own", "feed", "seconds"), [(24.0, 50.0, 1 / 48), (None, 25.0, 1 / 50), (24.0, 0.0, 1 / 48)]
)
def test_an_angle_lasts_by_the_rate_of_the_profile_else_of_the_feed(own, feed, seconds):
    camera = Camera(rate=own, shutter=Limits(now="180 deg"))
    (control,) = controls_of(camera, feed).controls
    assert control.now.seconds == pytest.approx(seconds)


def test_an_angle_without_any_rate_is_refused():
    with pytest.raises(QuantityError, match="rate"):
        controls_of(Camera(shutter=Limits(now="180 deg")), 0.0)
