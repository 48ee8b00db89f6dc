from overlays.signal.gamut_of_curve import default_gamut, is_gamut_assumed
from overlays.signal.gamuts import published_gamut
from overlays.signal.log_curve import LogParameters, custom_curve
from overlays.signal.published import published_curves


def test_where_no_gamut_was_published_it_is_assumed():
    for curve in published_curves():
        known = curve.gamut is not None
        assert is_gamut_assumed(curve) is not known
        assert default_gamut(curve) is (curve.gamut if known else published_gamut("BT.709"))
    # BT.470 M is here the bare gamma 2.2 of ITU-T H.273 Table 3: primaries are another tag, and
    # what bears this one today has hardly ever those of 1953.
    assumed = {c.name for c in published_curves() if is_gamut_assumed(c)}
    assert assumed == {"BT.470 M", "Cineon"}
    made = custom_curve("mine", LogParameters(log_side_slope=0.2, lin_side_offset=0.01))
    assert is_gamut_assumed(made)
    assert default_gamut(made).name == "BT.709"
