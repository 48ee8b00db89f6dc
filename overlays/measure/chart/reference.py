"""Charts with known patches: what each patch should be."""

from dataclasses import dataclass

import numpy as np

from overlays.measure.colour.cielab import bradford, chroma, xyz_to_lab
from overlays.signal.gamuts import D65, Chromaticity, FloatArray, Gamut

ILLUMINANT_C: Chromaticity = (0.31006, 0.31616)
"""CIE 15, 2 degree observer."""
NEUTRAL_CHROMA = 6.0
"""C*ab below which a patch counts as neutral: its hue angle would be noise."""


def gamut_to_d65(gamut: Gamut) -> FloatArray:
    """(3, 3) linear R, G, B of a gamut to XYZ under D65.

    Parameters
    ----------
    gamut:
        Whose white may be any; it is adapted by the Bradford transform.

    Returns
    -------
    ndarray
        float64, XYZ in columns, Y = 1 for R, G, B of 1.

    Examples
    --------
    >>> from overlays.signal.gamuts import published_gamut
    >>> (gamut_to_d65(published_gamut("AP0")) @ np.ones(3)).round(3).tolist()  # white is D65
    [0.95, 1.0, 1.089]
    """
    return np.asarray(bradford(gamut.white, D65) @ gamut.to_xyz, dtype=np.float64)


@dataclass(frozen=True, slots=True, eq=False)
class ChartReference:
    """A chart by its layout and the colours its maker or a measurement gives.

    Attributes
    ----------
    name, source:
        What it is and where its figures are from.
    rows, columns:
        Of patches, as the chart is held: patch n lies in row ``n // columns``.
    names:
        One of each patch, in reading order.
    xyz:
        (patches, 3) CIE XYZ of the patches, 1.0 at a perfect white, adapted to D65 (Bradford).
    gap:
        Width of the gap between patches as a share of a patch's edge.
    edition:
        Which of several makes of the same chart it is, in words; empty where there is one.

    Examples
    --------
    >>> from overlays.signal.gamuts import published_gamut
    >>> white = CHART24.neutrals[0]
    >>> CHART24.names[white], round(float(CHART24.lab[white, 0]), 1)
    ('white 9.5', 96.0)
    """

    name: str
    source: str
    rows: int
    columns: int
    names: tuple[str, ...]
    xyz: FloatArray
    gap: float = 0.15
    edition: str = ""

    @property
    def lab(self) -> FloatArray:
        """(patches, 3) L*, a*, b* under D65."""
        return xyz_to_lab(self.xyz, D65)

    def linear(self, gamut: Gamut) -> FloatArray:
        """(patches, 3) linear R, G, B in a gamut, adapted to its white; beyond it, negative.

        Parameters
        ----------
        gamut:
            What linear R, G, B shall mean.

        Returns
        -------
        ndarray
            float64, 1.0 for a perfect white.

        Examples
        --------
        >>> from overlays.signal.gamuts import published_gamut
        >>> CHART24.linear(published_gamut("BT.709"))[18].round(2).tolist()  # Y of 0.9001
        [0.9, 0.9, 0.9]
        """
        return np.asarray(self.xyz @ np.linalg.inv(gamut_to_d65(gamut)).T, dtype=np.float64)

    @property
    def neutrals(self) -> tuple[int, ...]:
        """Indices of the neutral patches, lightest first."""
        lab = self.lab
        greys = [int(n) for n in np.flatnonzero(chroma(lab) < NEUTRAL_CHROMA)]
        return tuple(sorted(greys, key=lambda n: -lab[n, 0]))


def xyy_to_d65(rows: FloatArray, white: Chromaticity) -> FloatArray:
    """XYZ adapted to D65 of (patches, 3) rows of x, y, Y under `white`.

    Parameters
    ----------
    rows:
        (patches, 3) float64; y above 0, Y of 1 for a perfect white.
    white:
        Chromaticity they are given under.

    Returns
    -------
    ndarray
        (patches, 3) float64 XYZ, adapted by the Bradford transform.

    Examples
    --------
    >>> xyy_to_d65(np.array([[*D65, 0.18]]), D65).round(4).tolist()
    [[0.1711, 0.18, 0.196]]
    """
    x, y, luminance = rows[:, 0], rows[:, 1], rows[:, 2]
    xyz = np.stack([x / y * luminance, luminance, (1.0 - x - y) / y * luminance], axis=1)
    return np.asarray(xyz @ bradford(white, D65).T, dtype=np.float64)


def _chart(
    name: str, source: str, gap: float, rows: tuple[tuple[str, float, float, float], ...]
) -> ChartReference:
    figures = np.array([row[1:] for row in rows])
    names = tuple(row[0] for row in rows)
    return ChartReference(name, source, 4, 6, names, xyy_to_d65(figures, ILLUMINANT_C), gap)


CHART24 = _chart(
    "24-patch colour rendition chart",
    "McCamy, Marcus & Davidson (1976), xyY under illuminant C as held in colour-science 0.4.7",
    0.15,
    (
        ("dark skin", 0.4002, 0.3504, 0.1005),
        ("light skin", 0.3773, 0.3446, 0.3582),
        ("blue sky", 0.2470, 0.2514, 0.1933),
        ("foliage", 0.3372, 0.4220, 0.1329),
        ("blue flower", 0.2651, 0.2400, 0.2427),
        ("bluish green", 0.2608, 0.3430, 0.4306),
        ("orange", 0.5060, 0.4070, 0.3005),
        ("purplish blue", 0.2110, 0.1750, 0.1200),
        ("moderate red", 0.4533, 0.3058, 0.1977),
        ("purple", 0.2845, 0.2020, 0.0656),
        ("yellow green", 0.3800, 0.4887, 0.4429),
        ("orange yellow", 0.4729, 0.4375, 0.4306),
        ("blue", 0.1866, 0.1285, 0.0611),
        ("green", 0.3046, 0.4782, 0.2339),
        ("red", 0.5385, 0.3129, 0.1200),
        ("yellow", 0.4480, 0.4703, 0.5910),
        ("magenta", 0.3635, 0.2325, 0.1977),
        ("cyan", 0.1958, 0.2519, 0.1977),
        ("white 9.5", 0.3101, 0.3163, 0.9001),
        ("neutral 8", 0.3101, 0.3163, 0.5910),
        ("neutral 6.5", 0.3101, 0.3163, 0.3620),
        ("neutral 5", 0.3101, 0.3163, 0.1977),
        ("neutral 3.5", 0.3101, 0.3163, 0.0900),
        ("black 2", 0.3101, 0.3163, 0.0313),
    ),
)

BENCH_CHART = _chart(
    "bench chart",
    "Munsell renotation (Newhall, Nickerson & Judd 1943) and the ASTM D1535 value scale via "
    "colour-science 0.4.7, xyY under illuminant C",
    0.08,
    (
        ("5R 5/8", 0.44130, 0.32400, 0.19272),
        ("10R 6/6", 0.41030, 0.34730, 0.29301),
        ("5YR 6/8", 0.45920, 0.39000, 0.29301),
        ("10YR 7/8", 0.43990, 0.41640, 0.41985),
        ("5Y 8/8", 0.41580, 0.43780, 0.57620),
        ("10Y 7/6", 0.38640, 0.43050, 0.41985),
        ("5GY 6/8", 0.37720, 0.48800, 0.29301),
        ("10GY 6/6", 0.31280, 0.41750, 0.29301),
        ("5G 5/6", 0.26900, 0.38600, 0.19272),
        ("10G 6/4", 0.27490, 0.34430, 0.29301),
        ("5BG 5/4", 0.25910, 0.32460, 0.19272),
        ("10BG 6/4", 0.25780, 0.30780, 0.29301),
        ("5B 5/6", 0.22150, 0.27010, 0.19272),
        ("10B 5/6", 0.22990, 0.25480, 0.19272),
        ("5PB 5/8", 0.22550, 0.22390, 0.19272),
        ("10PB 4/8", 0.24970, 0.20380, 0.11701),
        ("5P 4/8", 0.28550, 0.21500, 0.11701),
        ("5RP 5/8", 0.37480, 0.27290, 0.19272),
        ("N9.5", 0.31006, 0.31616, 0.87756),
        ("N8", 0.31006, 0.31616, 0.57620),
        ("N6.5", 0.31006, 0.31616, 0.35296),
        ("N5", 0.31006, 0.31616, 0.19272),
        ("N3.5", 0.31006, 0.31616, 0.08778),
        ("N2", 0.31006, 0.31616, 0.03048),
    ),
)

BUILT_IN = (CHART24, BENCH_CHART)
"""The charts that are tried when nobody says which one it is."""
