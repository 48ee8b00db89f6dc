"""Curves against colour-science and tests/reference/curves.csv (each row names its source)."""

import ast
import csv
from pathlib import Path

import colour
import numpy as np
import pytest

from overlays.errors import UnknownCurveError
from overlays.signal import published
from overlays.signal.levels import Carriage, value_to_percent
from overlays.signal.published import published_curve, published_curves
from overlays.signal.signal import Range
from tests.places import REFERENCE

TABLE = REFERENCE / "curves.csv"
ROWS = list(csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines()))
NAMES = list(dict.fromkeys(row["curve"] for row in ROWS))
LIGHT = 0.18 * 2.0 ** np.linspace(-8.0, 8.0, 801)
TOLERANCE = 1e-6
# The publication gives rounded decode constants, so that its two directions meet only so closely
# at the break (tests/reference/clf.csv, spec_step_at_break_codes10).
LOOSE_BREAK_STOPS = {"F-Log": 0.02, "L-Log": 0.03}

# Curve: the RGB of colour-science 0.4.7 that has this curve and the gamut published with it. A name
# that begins with a space, or in lower case, is the end of the one it has there: makers are left
# out. It has no such RGB of the curves that are not here.
PAIRED = {
    "LogC3": " Wide Gamut 3",
    "LogC4": " Wide Gamut 4",
    "S-Log2": "S-Gamut",
    "S-Log3": "S-Gamut3.Cine",
    "F-Log": "F-Gamut",
    "N-Log": "N-Gamut",
    "V-Log": "V-Gamut",
    "D-Log": " D-Gamut",
    "Log3G10": "REDWideGamutRGB",
    "Film Generation 5": "magic Wide Gamut",
    "DaVinci Intermediate": "DaVinci Wide Gamut",
    "ACEScct": "ACEScct",
    "ACEScc": "ACEScc",
    "BT.709": "ITU-R BT.709",
    "sRGB": "sRGB",
}


def call(name, light):
    row = next(r for r in ROWS if r["curve"] == name)
    with np.errstate(invalid="ignore", divide="ignore"):  # the oracle's branches not taken
        return np.asarray(eval(row["colour_call"], {**vars(colour.models), "x": light}))


@pytest.mark.parametrize("name", NAMES)
def test_encode_agrees_with_colour_science(name):
    np.testing.assert_allclose(
        published_curve(name).encode(LIGHT), call(name, LIGHT), atol=TOLERANCE, rtol=0.0
    )


@pytest.mark.parametrize("name", NAMES)
def test_decode_turns_the_oracles_signal_back_into_light(name):
    curve = published_curve(name)
    signal = call(name, LIGHT)
    inside = signal <= 1.0  # PQ ends there
    stops = np.log2(curve.decode(signal[inside]) / LIGHT[inside])
    # D-Log's decode constants are rounded to six figures in its white paper.
    allowed = LOOSE_BREAK_STOPS.get(name, 6e-5 if name == "D-Log" else TOLERANCE)
    assert np.abs(stops).max() < allowed


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r['curve']}-{r['carriage']}")
def test_ten_bit_codes_and_percents_of_the_table(row):
    curve = published_curve(row["curve"])
    carriage = Carriage(row["carriage"])
    for light, key in ((0.0, "000"), (0.18, "018"), (0.9, "090")):
        value = curve.encode(light)
        assert value == pytest.approx(float(row[f"v_{key}"]), abs=1.1e-6)
        percent = value_to_percent(value, carriage, Range.LIMITED)
        assert percent == pytest.approx(float(row[f"pct_{key}"]), abs=0.0051)
        assert 64.0 + 8.76 * percent == pytest.approx(float(row[f"cv10_{key}"]), abs=0.0051)


def test_mid_grey_is_42_percent_on_the_log_curve_that_has_it_there():
    # V-Log/V-Gamut Reference Manual Rev.1.0: 18 % at 42 %, code 433; common practice agrees.
    v_log = published_curve("V-Log")
    assert value_to_percent(v_log.encode(0.18), Carriage.FULL, Range.LIMITED) == pytest.approx(
        42.0, abs=0.2
    )


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r['curve']}-{r['carriage']}")
def test_default_carriage_is_the_one_the_publication_states(row):
    curve = published_curve(row["curve"])
    if row["carriage_is_spec"] == "yes":
        assert curve.carriage is Carriage(row["carriage"])
        assert curve.carriage_stated
    elif row["carriage_is_spec"] == "unspecified":
        assert not curve.carriage_stated


def test_every_curve_ships_with_a_source():
    assert len(published_curves()) == len(NAMES)
    assert all(curve.source for curve in published_curves())


def test_no_curve_forgets_to_say_which_gamut_was_published_with_it():
    # Left out, it would be None, as where none was published: that must be written.
    text = Path(published.__file__).read_text(encoding="utf-8")
    made = [
        node
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id == "Curve"
    ]
    assert len(made) == len(published_curves())
    silent = [ast.unparse(n.args[0]) for n in made if "gamut" not in {k.arg for k in n.keywords}]
    assert silent == []


@pytest.mark.parametrize("name", PAIRED)
def test_curve_and_gamut_belong_together(name):
    (found,) = [n for n in colour.RGB_COLOURSPACES if n == PAIRED[name]] or [
        n for n in colour.RGB_COLOURSPACES if n.endswith(PAIRED[name])
    ]
    space, curve = colour.RGB_COLOURSPACES[found], published_curve(name)
    row = next(r for r in ROWS if published_curve(r["curve"]) is curve)
    assert row["colour_call"].startswith(f"{space.cctf_encoding.__name__}(")
    primaries = (curve.gamut.red, curve.gamut.green, curve.gamut.blue)
    np.testing.assert_allclose(primaries, space.primaries, atol=1e-9)


@pytest.mark.parametrize("name", ["v-log", "VLOG", "V Log", "vlog"])
def test_spelling_of_a_name_does_not_matter(name):
    assert published_curve(name).name == "V-Log"


def test_unknown_curve_offers_the_nearest_names():
    with pytest.raises(UnknownCurveError, match=r"unknown curve 'S-Log4'; did you mean S-Log"):
        published_curve("S-Log4")
    with pytest.raises(UnknownCurveError, match="lists them"):
        published_curve("qqqqqqqqq")


@pytest.mark.parametrize("curve", published_curves(), ids=lambda c: c.name)
def test_a_carriage_is_stated_where_the_specification_states_it(curve):
    said = {r["carriage_is_spec"] for r in ROWS if r["curve"].split(" (")[0] == curve.name}
    if said - {""}:
        assert curve.carriage_stated is (said != {"unspecified"})
