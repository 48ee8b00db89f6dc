from firmware.profiles.model import curve_alone
from overlays.signal.published import published_curve


def test_a_profile_has_its_name_and_a_curve_alone_none(origin):
    assert origin("log-v").profile_name == "log-v"
    assert origin(curve_alone(published_curve("HLG"))).profile_name is None
