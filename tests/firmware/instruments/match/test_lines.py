"""What a match says in the terminal."""

from types import SimpleNamespace

from firmware.instruments.match.lines import _to_add


def test_what_to_add_is_told_with_its_half_width_and_left_out_where_it_is_not_known():
    known = SimpleNamespace(
        exposure_stops=0.5, exposure_pm=0.02, r_stops=0.1, b_stops=-0.25, balance_pm=0.03
    )
    (line,) = _to_add(known)
    assert line.startswith("To add on B: exposure +0.50")
    assert line.endswith("red +0.10, blue -0.25 ±0.03 st against green")
    assert _to_add(SimpleNamespace(exposure_stops=None)) == []
