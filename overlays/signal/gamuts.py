"""The published gamuts, as data: primaries, white and source, and what follows from them.

A gamut says which light linear R, G and B mean; a curve says only how much. Each is named as its
publication names it; makers appear only inside the citation. The matrices are derived here from
primaries and white (SMPTE RP 177-1993), not copied, and checked against colour-science 0.4.7.
"""

from dataclasses import dataclass, field
from functools import cache

import numpy as np
import numpy.typing as npt

from overlays.errors import UnknownGamutError
from overlays.signal.names import Names

FloatArray = npt.NDArray[np.float64]
Chromaticity = tuple[float, float]

D65: Chromaticity = (0.3127, 0.3290)
"""ITU-R BT.709-6 item 1.4, the white of almost every gamut here."""
D50: Chromaticity = (0.34570, 0.35850)
"""CIE 15, 2 degree observer: what ISO 13655 measures prints and paper under."""
ACES_WHITE: Chromaticity = (0.32168, 0.33767)
"""SMPTE ST 2065-1."""


@dataclass(frozen=True, slots=True)
class Gamut:
    """Primaries and white of a linear RGB, as CIE 1931 2 degree x, y.

    Attributes
    ----------
    name:
        As the publication calls it.
    red, green, blue, white:
        Chromaticities (x, y).
    source:
        The publication.
    aliases:
        Other spellings accepted in a profile or on the command line.

    Examples
    --------
    >>> published_gamut("BT.709").to_xyz[1].round(4).tolist()  # ITU-R BT.709-6 item 3.2
    [0.2126, 0.7152, 0.0722]
    """

    name: str
    red: Chromaticity
    green: Chromaticity
    blue: Chromaticity
    white: Chromaticity
    source: str
    aliases: tuple[str, ...] = field(default=())

    @property
    def to_xyz(self) -> FloatArray:
        """(3, 3) matrix from linear RGB to CIE XYZ, Y = 1 for RGB (1, 1, 1); do not write to it."""
        return _to_xyz(self)

    @property
    def from_xyz(self) -> FloatArray:
        """(3, 3) matrix from CIE XYZ to linear RGB; do not write to it."""
        return _from_xyz(self)


def xy_to_xyz(xy: Chromaticity) -> FloatArray:
    """XYZ, (3,), of a chromaticity at Y = 1.

    Parameters
    ----------
    xy:
        CIE 1931 x, y; y must not be 0.

    Returns
    -------
    ndarray
        (3,) float64, CIE 1931 X, Y, Z.

    Examples
    --------
    >>> xy_to_xyz(D65).round(4).tolist()
    [0.9505, 1.0, 1.0891]
    """
    x, y = xy
    return np.array([x / y, 1.0, (1.0 - x - y) / y])


@cache
def _to_xyz(gamut: Gamut) -> FloatArray:
    # SMPTE RP 177-1993: columns of primaries, scaled so that RGB (1, 1, 1) is white.
    primaries = np.array([(x, y, 1.0 - x - y) for x, y in (gamut.red, gamut.green, gamut.blue)]).T
    amounts = np.linalg.solve(primaries, xy_to_xyz(gamut.white))
    matrix: FloatArray = np.asarray(primaries * amounts, dtype=np.float64)
    matrix.flags.writeable = False
    return matrix


@cache
def _from_xyz(gamut: Gamut) -> FloatArray:
    matrix: FloatArray = np.asarray(np.linalg.inv(_to_xyz(gamut)), dtype=np.float64)
    matrix.flags.writeable = False
    return matrix


_BT2020 = ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046))
_P3 = ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060))
_SGAMUT = ((0.730, 0.280), (0.140, 0.855), (0.100, -0.050))
_SLOG3_PAPER = "Technical Summary for S-Gamut3.Cine/S-Log3 and S-Gamut3/S-Log3 V1.00"

_PUBLISHED = (
    Gamut(
        "BT.709",
        (0.640, 0.330),
        (0.300, 0.600),
        (0.150, 0.060),
        D65,
        "ITU-R BT.709-6 items 1.3 and 1.4; the same primaries in IEC 61966-2-1 (sRGB)",
        aliases=("Rec.709", "sRGB"),
    ),
    Gamut(
        "BT.2020",
        *_BT2020,
        D65,
        "ITU-R BT.2020-2 Table 3; the same in ITU-R BT.2100-2 Table 2",
        aliases=("Rec.2020", "BT.2100"),
    ),
    Gamut(
        "BT.601 525",
        (0.630, 0.340),
        (0.310, 0.595),
        (0.155, 0.070),
        D65,
        "ITU-R BT.601-7, 525-line systems (SMPTE C)",
        aliases=("BT.601", "SMPTE C", "BT.601-525"),
    ),
    Gamut(
        "BT.601 625",
        (0.640, 0.330),
        (0.290, 0.600),
        (0.150, 0.060),
        D65,
        "ITU-R BT.601-7, 625-line systems (EBU Tech. 3213)",
        aliases=("BT.601-625", "EBU"),
    ),
    Gamut(
        "BT.470 M",
        (0.670, 0.330),
        (0.210, 0.710),
        (0.140, 0.080),
        (0.31006, 0.31616),
        "ITU-R BT.470-6, System M, with white C (ITU-T H.273 Table 2, value 4), as held in "
        "colour-science 0.4.7",
    ),
    Gamut("P3-D65", *_P3, D65, "SMPTE EG 432-1, with D65 white", aliases=("Display P3",)),
    Gamut("DCI-P3", *_P3, (0.314, 0.351), "SMPTE RP 431-2"),
    Gamut(
        "AP0",
        (0.7347, 0.2653),
        (0.0, 1.0),
        (0.0001, -0.0770),
        ACES_WHITE,
        "SMPTE ST 2065-1",
        aliases=("ACES2065-1",),
    ),
    Gamut(
        "AP1",
        (0.713, 0.293),
        (0.165, 0.830),
        (0.128, 0.044),
        ACES_WHITE,
        "AMPAS S-2014-004 (ACEScg)",
        aliases=("ACEScg",),
    ),
    Gamut("S-Gamut", *_SGAMUT, D65, "S-Log White Paper; S-Log2 Technical Paper V1.0 (2012)"),
    Gamut("S-Gamut3", *_SGAMUT, D65, _SLOG3_PAPER),
    Gamut("S-Gamut3.Cine", (0.766, 0.275), (0.225, 0.800), (0.089, -0.087), D65, _SLOG3_PAPER),
    Gamut(
        "V-Gamut",
        (0.730, 0.280),
        (0.165, 0.840),
        (0.100, -0.030),
        D65,
        "V-Log/V-Gamut Reference Manual Rev.1.0 (2014)",
    ),
    Gamut(
        "Cinema Gamut",
        (0.740, 0.270),
        (0.170, 1.140),
        (0.080, -0.100),
        D65,
        "Canon (2014) EOS C500 Firmware Update, as held in colour-science 0.4.7",
    ),
    Gamut("F-Gamut", *_BT2020, D65, "Fujifilm F-Log Data Sheet Ver.1.1 (the BT.2020 primaries)"),
    Gamut(
        "F-Gamut C",
        (0.7347, 0.2653),
        (0.0263, 0.9737),
        (0.1173, -0.0224),
        D65,
        "Fujifilm F-Log2 C Data Sheet, as held in colour-science 0.4.7",
    ),
    Gamut(
        "N-Gamut",
        *_BT2020,
        D65,
        "Nikon N-Log Specification Document 1.0.0 (2018) (the BT.2020 primaries)",
    ),
    Gamut(
        "D-Gamut",
        (0.710, 0.310),
        (0.210, 0.880),
        (0.090, -0.080),
        D65,
        "White Paper on D-Log and D-Gamut of DJI Cinema Color System (2017)",
    ),
    Gamut(
        "AWG3",
        (0.6840, 0.3130),
        (0.2210, 0.8480),
        (0.0861, -0.1020),
        D65,
        "ARRI (2012) ALEXA Log C Curve - Usage in VFX (Wide Gamut)",
        aliases=("Wide Gamut 3",),
    ),
    Gamut(
        "AWG4",
        (0.7347, 0.2653),
        (0.1424, 0.8576),
        (0.0991, -0.0308),
        D65,
        "ARRI LogC4 Logarithmic Color Space Specification (2022)",
        aliases=("Wide Gamut 4",),
    ),
    Gamut(
        "REDWideGamutRGB",
        (0.780308, 0.304253),
        (0.121595, 1.493994),
        (0.095612, -0.084589),
        D65,
        "White Paper on REDWideGamutRGB and Log3G10 (2017)",
    ),
    Gamut(
        "DaVinci Wide Gamut",
        (0.8000, 0.3130),
        (0.1682, 0.9877),
        (0.0790, -0.1155),
        D65,
        "DaVinci Wide Gamut Intermediate note (2020)",
    ),
    Gamut(
        "Wide Gamut Generation 5",
        (0.7177215, 0.3171181),
        (0.2280410, 0.8615690),
        (0.1005841, -0.0820452),
        (0.3127170, 0.3290312),
        "Generation 5 Color Science (2021)",
    ),
)

_NAMES = Names(_PUBLISHED)


def published_gamuts() -> tuple[Gamut, ...]:
    """Every gamut that ships, in the order of the table.

    Examples
    --------
    >>> [gamut.name for gamut in published_gamuts()][:2]
    ['BT.709', 'BT.2020']
    """
    return _PUBLISHED


def published_gamut(name: str) -> Gamut:
    """The gamut of a published name; case, spaces and punctuation do not matter.

    Parameters
    ----------
    name:
        Or one of its aliases.

    Returns
    -------
    Gamut
        With its name as it was published.

    Raises
    ------
    UnknownGamutError
        No such gamut; the sentence offers the nearest names, or all of them.

    Examples
    --------
    >>> published_gamut("bt709").name
    'BT.709'
    """
    found = _NAMES.find(name)
    if found is not None:
        return found
    near = _NAMES.near(name)
    if near:
        hint = f"did you mean {', '.join(near)}?"
    else:
        hint = f"known are {', '.join(gamut.name for gamut in _PUBLISHED)}"
    raise UnknownGamutError(f"unknown gamut {name!r}; {hint}")
