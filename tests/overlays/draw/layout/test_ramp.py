import colour
import numpy as np
import pytest

from overlays.draw.layout.palette import SIGHTS
from overlays.draw.layout.ramp import GREYSCALE, MIDDLE, derive_ramp, seen_lab, steps_apart
from overlays.draw.picture.stop_map import ABOVE, BELOW, COLOURS

LEAST_APART = 5.0
"""What DEVELOPERS.md says: four times and more what two people would just call different (a unit
of CIEDE2000 is about a just noticeable difference; common practice, no source)."""


def test_the_colours_of_the_stop_map_are_those_that_are_derived():
    assert tuple(derive_ramp(BELOW, ABOVE)) == COLOURS
    assert COLOURS[BELOW] == MIDDLE


@pytest.mark.parametrize("sight", [*SIGHTS, "greyscale"])
def test_neighbouring_stops_stay_apart_for_every_sight_and_in_greyscale(sight):
    apart = steps_apart(list(COLOURS), SIGHTS.get(sight, GREYSCALE))
    assert apart.min() >= LEAST_APART


def test_more_light_is_never_shown_darker_and_steps_are_even_in_greyscale():
    lightness = seen_lab(np.array(COLOURS, np.int64), np.eye(3))[:, 0]
    assert (np.diff(lightness) > 0.0).all()
    apart = steps_apart(list(COLOURS), GREYSCALE)
    for side in (apart[:BELOW], apart[BELOW:]):
        assert side.max() < 1.1 * side.min()


def test_below_the_middle_is_cool_and_above_it_warm():
    b = seen_lab(np.array(COLOURS, np.int64), np.eye(3))[:, 2]
    assert (b[:BELOW] < 0.0).all()
    assert (b[BELOW + 1 :] > 0.0).all()


def test_the_differences_are_those_of_colour_science():
    # colour-science 0.4: sRGB (IEC 61966-2-1) to CIELAB at D65, and CIEDE2000.
    xyz = colour.sRGB_to_XYZ(np.array(COLOURS) / 255.0)
    lab = colour.XYZ_to_Lab(
        xyz, colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    )
    theirs = colour.delta_E(lab[:-1], lab[1:], method="CIE 2000")
    assert steps_apart(list(COLOURS), np.eye(3)) == pytest.approx(theirs, abs=0.05)
