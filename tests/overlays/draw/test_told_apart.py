"""Stripes, states, verdicts and stops stay apart for every sight, and in greyscale.

The worst CIEDE2000 of each set stands in DEVELOPERS.md. Stripes and states hardly differ in
lightness: in greyscale stripes are told by how they lie, states by their words.
"""

from itertools import combinations, pairwise

import colour
import numpy as np
import pytest

from overlays.draw.layout import theme
from overlays.draw.layout.palette import SIGHTS, linear_rgb
from overlays.draw.layout.ramp import GREYSCALE
from overlays.draw.moment.shown import Face
from overlays.draw.picture.stop_map import COLOURS
from overlays.draw.picture.stripes import NARROWER, WEAVES, scaled_weave, stripe_pattern, swatch
from overlays.measure.counting.bands import BandKind
from tests.places import ROOT

STRIPES = [theme.SKY, theme.RED, theme.VIOLET]
STATES = [theme.TEXT, theme.AMBER, theme.TEAL, theme.RED]
SEEN_BY = {**SIGHTS, "greyscale": GREYSCALE}
D65 = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]


def apart(one, other, sight):
    """CIEDE2000 as seen, by colour-science 0.4."""
    seen = np.clip(linear_rgb([one, other]) @ SEEN_BY[sight].T, 0.0, 1.0)
    lab = colour.XYZ_to_Lab(colour.RGB_to_XYZ(seen, "sRGB"), D65)
    return float(colour.delta_E(lab[0], lab[1], method="CIE 2000"))


def worst(pairs):
    return [min(apart(one, other, sight) for one, other in pairs) for sight in SEEN_BY]


def neighbours():
    return list(pairwise(COLOURS))


@pytest.mark.parametrize("colours", [STRIPES, STATES], ids=["stripes", "states"])
def test_stripes_and_states_stay_apart_for_every_sight(colours):
    found = worst(list(combinations(colours, 2)))
    assert min(found[: len(SIGHTS)]) >= theme.LEAST_DIFFERENCE


def test_neighbouring_stops_stay_apart_in_greyscale_too():
    assert min(worst(neighbours())) >= 5.0


def test_the_worst_of_each_set_is_listed():
    text = (ROOT / "DEVELOPERS.md").read_text()
    sets = {
        "stripes": list(combinations(STRIPES, 2)),
        "states and verdicts": list(combinations(STATES, 2)),
        "neighbouring stops": neighbours(),
    }
    for name, pairs in sets.items():
        row = f"| {name} | " + " | ".join(f"{each:.1f}" for each in worst(pairs)) + " |"
        assert row in text, row


def lean(kind, nth):
    """Which way the lines of a stripe lean and how far apart they are, read off its pixels."""
    weave = scaled_weave(WEAVES[kind], 1.0, NARROWER[nth])
    grey = (200, 200, 200)  # no hue: as in greyscale
    image = swatch(stripe_pattern(weave, grey, theme.EDGE, 240), theme.GREY_CARD, 60, 240)
    light = image == theme.pixel_of(grey)
    starts = np.flatnonzero(light[0] & ~np.roll(light[0], 1))
    period = int(np.median(np.diff(starts)))
    shift = max(range(-3, 4), key=lambda by: (np.roll(light[0], by) == light[3]).mean())
    return shift, period


def test_without_any_hue_stripes_are_told_by_how_they_lie():
    found = [lean(kind, nth) for kind in BandKind for nth in range(len(NARROWER))]
    assert len(set(found)) == len(found)
    shifts = {kind: lean(kind, 0)[0] for kind in BandKind}
    assert len(set(shifts.values())) == 3


def test_every_state_has_a_word_of_its_own():
    assert len({face.value for face in Face}) == len(Face)
    assert all(face.value for face in Face)
