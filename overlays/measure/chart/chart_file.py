"""A chart's reference from a CGATS.17 or ISO 28178 text."""

import re

import numpy as np

from overlays.errors import ChartFileError
from overlays.measure.chart.cgats import CgatsTable, parse_cgats
from overlays.measure.chart.reference import ILLUMINANT_C, ChartReference
from overlays.measure.colour.cielab import bradford, lab_to_xyz
from overlays.signal.gamuts import D50, D65, Chromaticity, FloatArray
from overlays.wording.read_number import number_in, short, whole_in

# CIE 15, 2 degree observer, as held in colour-science 0.4.7.
WHITES: dict[str, Chromaticity] = {
    "A": (0.44758, 0.40745),
    "C": ILLUMINANT_C,
    "D50": D50,
    "D55": (0.33243, 0.34744),
    "D65": D65,
    "D75": (0.29903, 0.31488),
}
USUAL_WHITE = "D50"
"""What ISO 13655 measures under where a file does not say."""
FEWEST_PATCHES = 4
LEAST_Y = 1e-3
"""Of a chromaticity: the spectrum's own smallest y is 0.005 (CIE 15, 2 degree observer, 410 nm)."""
MOST_XYZ = 200.0
"""Of what is 1 at a perfect white: beyond it figures are no slip of a decimal point any more."""
MOST = 1e6
"""Figures of a reflecting sample lie far below: X, Y and Z near 100, a* and b* below 150."""
_NAMED = re.compile(r"^([A-Za-z]{1,2})0*(\d{1,3})$")
_KINDS = (
    ("XYZ_X", "XYZ_Y", "XYZ_Z"),
    ("XYY_X", "XYY_Y", "XYY_CAPY"),
    ("LAB_L", "LAB_A", "LAB_B"),
)
_KEYS_OF_LIGHT = ("ILLUMINANT", "ILLUMINATION_NAME", "WEIGHTING_FUNCTION", "MEASUREMENT_SOURCE")


def chart_from_text(text: str, name: str, layout: tuple[int, int] | None = None) -> ChartReference:
    """The reference a text gives.

    Parameters
    ----------
    text:
        Of a file with XYZ, xyY or L*a*b* columns; XYZ and CAPY are 100 at a perfect white.
    name:
        What to call the chart.
    layout:
        (columns, rows) of the chart; None reads it from sample names like A1 to F4 (of letters and
        numbers the more numerous are the columns), and takes 24 plain samples for 6 by 4.

    Returns
    -------
    ChartReference
        Adapted to D65 from the white the file names, D50 where it names none.

    Raises
    ------
    ChartFileError
        The text cannot be read, lacks a column, or leaves the layout open; one sentence.

    Examples
    --------
    >>> chart = chart_from_text('''CGATS.17
    ... ILLUMINANT "D65"
    ... BEGIN_DATA_FORMAT
    ... SAMPLE_ID XYZ_X XYZ_Y XYZ_Z
    ... END_DATA_FORMAT
    ... BEGIN_DATA
    ... A1 95.05 100.0 108.9
    ... A2 47.52 50.0 54.45
    ... B1 17.11 18.0 19.6
    ... B2 8.55 9.0 9.8
    ... END_DATA''', "greys")
    >>> chart.names, chart.xyz[:, 1].round(2).tolist()
    (('A1', 'B1', 'A2', 'B2'), [1.0, 0.18, 0.5, 0.09])
    """
    table = parse_cgats(text)
    xyz = _xyz(table)
    names = _names(table)
    order, columns, rows = _placed(table, layout)
    white = _white(table)
    adapted = xyz[order] @ bradford(WHITES[white], D65).T
    return ChartReference(
        name=name,
        source=f"its file, measured under {white}",
        rows=rows,
        columns=columns,
        names=tuple(names[n] for n in order),
        xyz=np.asarray(adapted, dtype=np.float64),
    )


def _white(table: CgatsTable) -> str:
    """The illuminant a file names, or the usual one."""
    for key in _KEYS_OF_LIGHT:
        words = re.split(r"[^A-Z0-9]+", table.keywords.get(key, "").upper())
        for word in words:
            if word in WHITES:
                return word
    return USUAL_WHITE


def _numbers(table: CgatsTable, fields: tuple[str, ...]) -> FloatArray:
    out = np.empty((len(table.rows), len(fields)))
    for column, name in enumerate(fields):
        for row, word in enumerate(table.column(name)):
            number = number_in(word)
            if number is None or abs(number) > MOST:
                raise ChartFileError(
                    f"line {table.lines[row]}: {name} is {short(word)}; a number from -{MOST:g} to "
                    f"{MOST:g} is needed"
                )
            out[row, column] = number
    return out


def _xyz(table: CgatsTable) -> FloatArray:
    """(samples, 3) XYZ, 1 at a perfect white, under the file's illuminant."""
    for fields in _KINDS:
        if all(name in table.fields for name in fields):
            numbers = _numbers(table, fields)
            break
    else:
        has = ", ".join(table.fields[:8])
        raise ChartFileError(
            "the data hold no colour that can be read: XYZ_X XYZ_Y XYZ_Z, XYY_X XYY_Y XYY_CAPY or "
            f"LAB_L LAB_A LAB_B are needed (the columns are {has})"
        )
    if fields[0] == "XYZ_X":
        xyz = numbers / 100.0
    elif fields[0] == "XYY_X":
        xyz = _from_xyy(numbers, table)
    else:
        xyz = lab_to_xyz(numbers, WHITES[_white(table)])
    if float(np.abs(xyz).max()) > MOST_XYZ:
        row = int(np.abs(xyz).max(axis=1).argmax())
        figures = ", ".join(f"{100.0 * each:.4g}" for each in xyz[row])
        raise ChartFileError(
            f"line {table.lines[row]}: XYZ of {figures} are no reflecting sample's; the lightest "
            "sample has 100"
        )
    if not 0.0 < float(xyz[:, 1].max()) <= 2.0:
        raise ChartFileError(
            f"the lightest sample has Y = {100.0 * float(xyz[:, 1].max()):g}; reflecting samples "
            "lie between 0 and about 100"
        )
    return xyz


def _from_xyy(numbers: FloatArray, table: CgatsTable) -> FloatArray:
    x, y, luminance = numbers.T
    bad = np.flatnonzero(y < LEAST_Y)
    if bad.size:
        line = table.lines[int(bad[0])]
        raise ChartFileError(
            f"line {line}: XYY_Y must be above 0; that of any colour is {LEAST_Y:g} or more"
        )
    scaled = luminance / 100.0
    return np.stack([x / y * scaled, scaled, (1.0 - x - y) / y * scaled], axis=1)


def _names(table: CgatsTable) -> tuple[str, ...]:
    for name in ("SAMPLE_NAME", "SAMPLE_LOC", "SAMPLE_ID", "SAMPLEID"):
        if name in table.fields:
            return table.column(name)
    return tuple(str(n + 1) for n in range(len(table.rows)))


def _placed(table: CgatsTable, layout: tuple[int, int] | None) -> tuple[list[int], int, int]:
    """Order of the samples in reading order, columns and rows."""
    count = len(table.rows)
    if count < FEWEST_PATCHES:
        raise ChartFileError(f"{count} samples; a chart has at least {FEWEST_PATCHES}")
    named = _by_name(table)
    if layout is None and named is not None:
        return named
    columns, rows = layout or (6, 4)
    if columns * rows != count or min(columns, rows) < 2:
        said = f"{columns} by {rows}" if layout else "no layout"
        raise ChartFileError(
            f"{count} samples and {said}: how they lie on the chart is not known; name them A1, A2 "
            "… in SAMPLE_ID, or give the layout as columns x rows"
        )
    return list(range(count)), columns, rows


def _by_name(table: CgatsTable) -> tuple[list[int], int, int] | None:
    """Order and layout from names of a letter and a number; None where they do not fill a grid."""
    for field in ("SAMPLE_LOC", "SAMPLE_ID", "SAMPLEID", "SAMPLE_NAME"):
        if field not in table.fields:
            continue
        found = [_NAMED.match(word) for word in table.column(field)]
        places = {
            (m.group(1).upper(), whole_in(m.group(2)) or 0): n
            for n, m in enumerate(found)
            if m is not None
        }
        letters = sorted({p[0] for p in places}, key=lambda word: (len(word), word))
        numbers = sorted({p[1] for p in places})
        if len(places) != len(table.rows) or len(places) != len(letters) * len(numbers):
            continue
        if min(len(letters), len(numbers)) < 2:
            continue
        if len(letters) >= len(numbers):
            order = [places[letter, number] for number in numbers for letter in letters]
            return order, len(letters), len(numbers)
        order = [places[letter, number] for letter in letters for number in numbers]
        return order, len(numbers), len(letters)
    return None
