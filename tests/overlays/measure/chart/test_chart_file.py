"""References from files: every kind of colour, every layout, every mistake."""

import colour
import numpy as np
import pytest

from overlays.errors import ChartFileError
from overlays.measure.chart.chart_file import WHITES, chart_from_text
from overlays.measure.chart.reference import CHART24

# McCamy, Marcus & Davidson (1976), illuminant C
(OF_1976,) = [name for name in colour.CCS_COLOURCHECKERS if name.endswith(" 1976")]
XYY = np.array(list(colour.CCS_COLOURCHECKERS[OF_1976].data.values()))


def text_of(fields, rows, white="C", ids=None, extra=""):
    ids = ids or [str(n + 1) for n in range(len(rows))]
    lines = [f"{i} " + " ".join(f"{v:.8f}" for v in row) for i, row in zip(ids, rows, strict=True)]
    head = [f'ILLUMINANT "{white}"'] if white else []
    return "\n".join(
        [
            "ISO28178",
            *head,
            extra,
            "BEGIN_DATA_FORMAT",
            "SAMPLE_ID " + fields,
            "END_DATA_FORMAT",
            "BEGIN_DATA",
            *lines,
            "END_DATA",
        ]
    )


XYZ = colour.xyY_to_XYZ(XYY)
KINDS = {
    "XYY_X XYY_Y XYY_CAPY": XYY * (1.0, 1.0, 100.0),
    "XYZ_X XYZ_Y XYZ_Z": XYZ * 100.0,
    "LAB_L LAB_A LAB_B": colour.XYZ_to_Lab(XYZ, WHITES["C"]),
}


@pytest.mark.parametrize("fields", KINDS)
def test_every_kind_gives_the_same_chart(fields):
    chart = chart_from_text(text_of(fields, KINDS[fields]), "mine")
    np.testing.assert_allclose(chart.xyz, CHART24.xyz, atol=1e-6)
    assert (chart.name, chart.columns, chart.rows) == ("mine", 6, 4)
    assert "under C" in chart.source


def test_d50_is_taken_where_the_file_does_not_say():
    d50 = colour.adaptation.chromatic_adaptation_VonKries(
        XYZ, colour.xy_to_XYZ(WHITES["C"]), colour.xy_to_XYZ(WHITES["D50"]), "Bradford"
    )
    for white in ("", "Illuminant = D50 and more"):
        chart = chart_from_text(text_of("XYZ_X XYZ_Y XYZ_Z", d50 * 100.0, white), "mine")
        np.testing.assert_allclose(chart.xyz, CHART24.xyz, atol=1e-5)


def test_whites_are_those_of_cie_15():
    for name, xy in WHITES.items():
        expected = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"][name]
        assert xy == pytest.approx(tuple(expected), abs=1e-4)


def test_names_give_the_layout():
    xyz = KINDS["XYZ_X XYZ_Y XYZ_Z"]
    by_column = [f"{'ABCDEF'[n // 4]}{n % 4 + 1}" for n in range(24)]  # down the columns
    shuffled = [4 * (n % 6) + n // 6 for n in range(24)]  # where each patch of the chart is written
    rows = np.empty_like(xyz)
    rows[shuffled] = xyz
    chart = chart_from_text(text_of("XYZ_X XYZ_Y XYZ_Z", rows, ids=by_column), "mine")
    np.testing.assert_allclose(chart.xyz, CHART24.xyz, atol=1e-6)
    assert chart.names[:2] == ("A1", "B1")
    by_row = [f"{'ABCD'[n // 6]}{n % 6 + 1}" for n in range(24)]
    chart = chart_from_text(text_of("XYZ_X XYZ_Y XYZ_Z", xyz, ids=by_row), "mine")
    np.testing.assert_allclose(chart.xyz, CHART24.xyz, atol=1e-6)


@pytest.mark.parametrize(("letters", "numbers"), [("AB", 6), ("ABCDEF", 2)])
def test_names_of_two_rows_are_a_layout_too(letters, numbers):
    names = [f"{letter}{number + 1}" for letter in letters for number in range(numbers)]
    xyz = KINDS["XYZ_X XYZ_Y XYZ_Z"][: len(names)]
    chart = chart_from_text(text_of("XYZ_X XYZ_Y XYZ_Z", xyz, ids=names), "mine")
    assert (chart.columns, chart.rows) == (6, 2)
    assert set(chart.names) == set(names)


def test_of_as_many_letters_as_numbers_the_letters_are_the_columns():
    names = [f"{letter}{number}" for letter in "ABCD" for number in (1, 2, 3, 4)]
    xyz = KINDS["XYZ_X XYZ_Y XYZ_Z"][:16]
    chart = chart_from_text(text_of("XYZ_X XYZ_Y XYZ_Z", xyz, ids=names), "mine")
    assert chart.names[:5] == ("A1", "B1", "C1", "D1", "A2")


def test_names_may_count_from_nought():
    names = [f"{letter}{number}" for letter in "ABC" for number in range(6)]
    xyz = KINDS["XYZ_X XYZ_Y XYZ_Z"][:18]
    chart = chart_from_text(text_of("XYZ_X XYZ_Y XYZ_Z", xyz, ids=names), "mine")
    assert (chart.columns, chart.rows, chart.names) == (6, 3, tuple(names))


@pytest.mark.parametrize(
    "names", [[f"A{n + 1}" for n in range(24)], [f"{chr(65 + n)}1" for n in range(24)]]
)
def test_names_of_a_single_row_are_mere_numbers(names):
    xyz = KINDS["XYZ_X XYZ_Y XYZ_Z"]
    chart = chart_from_text(text_of("XYZ_X XYZ_Y XYZ_Z", xyz, ids=names), "mine")
    assert (chart.columns, chart.rows) == (6, 4)
    assert chart.names == tuple(names)


def test_a_given_layout_wins():
    chart = chart_from_text(
        text_of("XYZ_X XYZ_Y XYZ_Z", KINDS["XYZ_X XYZ_Y XYZ_Z"]), "mine", (8, 3)
    )
    assert (chart.columns, chart.rows) == (8, 3)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (text_of("RGB_R RGB_G RGB_B", XYZ), "no colour that can be read"),
        (text_of("XYZ_X XYZ_Y XYZ_Z", XYZ[:10] * 100.0), "10 samples and no layout"),
        (text_of("XYZ_X XYZ_Y XYZ_Z", XYZ[:3] * 100.0), "3 samples"),
        (text_of("XYZ_X XYZ_Y XYZ_Z", XYZ * 1e5), "the lightest sample"),
        (
            text_of("XYZ_X XYZ_Y XYZ_Z", XYZ * 100.0).replace("\n3 ", "\n3 x"),
            "line 10: XYZ_X is 'x",
        ),
        (text_of("XYY_X XYY_Y XYY_CAPY", XYY * (1.0, 0.0, 100.0)), "line 8: XYY_Y must be above 0"),
        ("nothing", "no BEGIN_DATA"),
    ],
)
def test_a_mistake_gets_a_sentence(text, sentence):
    with pytest.raises(ChartFileError) as caught:
        chart_from_text(text, "mine")
    assert sentence in str(caught.value)


def test_a_layout_that_does_not_fit_gets_a_sentence():
    text = text_of("XYZ_X XYZ_Y XYZ_Z", KINDS["XYZ_X XYZ_Y XYZ_Z"])
    with pytest.raises(ChartFileError, match="24 samples and 5 by 5"):
        chart_from_text(text, "mine", (5, 5))


@pytest.mark.parametrize(
    ("fields", "row", "words"),
    [
        ("XYY_X XYY_Y XYY_CAPY", "0.3 1e-320 50", "XYY_Y must be above 0"),
        ("XYY_X XYY_Y XYY_CAPY", "1e6 0.002 90", "no reflecting sample"),
        ("XYZ_X XYZ_Y XYZ_Z", "1e6 50 50", "no reflecting sample"),
        ("LAB_L LAB_A LAB_B", "50 1e6 0", "no reflecting sample"),
        ("XYZ_X XYZ_Y XYZ_Z", f"{'9' * 5000} 50 50", "a number from"),
    ],
)
def test_figures_beyond_all_colours_get_a_sentence_and_no_warning(fields, row, words):
    """They ended in warnings of numpy on standard error (issue 19, item 5)."""
    rows = "\n".join(f"A{n} 20 0.3 20" for n in range(1, 4))
    text = (
        f"BEGIN_DATA_FORMAT\nSAMPLE_ID {fields}\nEND_DATA_FORMAT\nBEGIN_DATA\n"
        f"{rows}\nA4 {row}\nEND_DATA"
    )
    with pytest.raises(ChartFileError, match=words):
        chart_from_text(text, "mine", (2, 2))


def test_two_rows_are_a_layout():
    text = text_of("XYZ_X XYZ_Y XYZ_Z", KINDS["XYZ_X XYZ_Y XYZ_Z"])
    chart = chart_from_text(text, "mine", (12, 2))
    assert (chart.columns, chart.rows) == (12, 2)
