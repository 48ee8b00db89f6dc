"""The published transfer functions, as data.

Each is named as its publication names it; makers appear only inside the citation. The figures were
checked against colour-science 0.4.7 and the published tables (tests/overlays/signal). Each says
which gamut was published together with it, or that none was; a camera can be set otherwise, and
then its profile or ``--gamut`` says so.
"""

import numpy as np

from overlays.errors import UnknownCurveError
from overlays.signal.curves import Curve, Family
from overlays.signal.formulas import (
    CubeRootLog,
    HalvedLog,
    HybridLogGamma,
    LogWithToe,
    MirroredLog,
    PerceptualQuantizer,
    Power,
    PowerWithToe,
    PureLog,
    SquareLog,
)
from overlays.signal.gamuts import published_gamut
from overlays.signal.levels import Carriage
from overlays.signal.names import Names

_WHITE_90 = 1.0 / 0.9  # curves whose 1.0 is a 90 % white card


def _logc4() -> LogWithToe:
    a = (2.0**18 - 16.0) / 117.45
    b, c = (1023.0 - 95.0) / 1023.0, 95.0 / 1023.0
    s = 7.0 * np.log(2.0) * 2.0 ** (7.0 - 14.0 * c / b) / (a * b)
    t = (2.0 ** (14.0 * (-c / b) + 6.0) - 64.0) / a
    return LogWithToe(2.0, b / 14.0, c - 6.0 * b / 14.0, a, 64.0, 1.0 / s, -t / s, t, 0.0)


def _cineon() -> PureLog:
    black = 10.0 ** ((95.0 - 685.0) / 300.0)
    return PureLog(10.0, 300.0 / 1023.0, 685.0 / 1023.0, 1.0 - black, black)


def _log3g10() -> LogWithToe:
    a, b, c, g = 0.224282, 155.975327, 0.01, 15.1927
    return LogWithToe(10.0, a, 0.0, b, b * c + 1.0, g, g * c, -c, 0.0)


_SLOG2_TOE = 0.030001222851889303
_PUBLISHED = (
    Curve(
        "LogC3",
        LogWithToe(
            10.0,
            0.247190,
            0.385537,
            5.555556,
            0.052272,
            5.367655,
            0.092809,
            0.010591,
            5.367655 * 0.010591 + 0.092809,
        ),
        "ARRI (2012) ALEXA Log C Curve - Usage in VFX, table for EI 800",
        Carriage.FULL,
        carriage_stated=False,
        gamut=published_gamut("AWG3"),
        aliases=("LogC3 (EI 800)", "LogC"),
    ),
    Curve(
        "LogC4",
        _logc4(),
        "ARRI LogC4 Logarithmic Color Space Specification (2022)",
        Carriage.FULL,
        carriage_stated=False,
        gamut=published_gamut("AWG4"),
    ),
    Curve(
        "S-Log2",
        LogWithToe(
            10.0,
            0.432699,
            0.646596,
            155.0 / 219.0,
            0.037584,
            5.0 * 155.0 / 219.0,
            _SLOG2_TOE,
            0.0,
            _SLOG2_TOE,
        ),
        "S-Log2 Technical Paper V1.0 (2012)",
        Carriage.NARROW,
        reflectance_scale=_WHITE_90,
        gamut=published_gamut("S-Gamut"),
    ),
    Curve(
        "S-Log3",
        LogWithToe(
            10.0,
            261.5 / 1023.0,
            (420.0 - 261.5 * float(np.log10(0.19))) / 1023.0,
            1.0,
            0.01,
            (171.2102946929 - 95.0) / 0.01125 / 1023.0,
            95.0 / 1023.0,
            0.01125,
            171.2102946929 / 1023.0,
        ),
        "Technical Summary for S-Gamut3.Cine/S-Log3 and S-Gamut3/S-Log3 V1.00",
        Carriage.FULL,
        # The paper gives S-Gamut3 too; .Cine is the one for shooting.
        gamut=published_gamut("S-Gamut3.Cine"),
    ),
    Curve(
        "Canon Log",
        MirroredLog(0.45310179, 10.1596, 0.12512248, 0.12512248),
        "Canon Input Transform 202007 (v1.2 code form); Thorpe (2012)",
        Carriage.FULL,
        reflectance_scale=_WHITE_90,
        gamut=published_gamut("Cinema Gamut"),
    ),
    Curve(
        "Canon Log 2",
        MirroredLog(0.24136077, 87.09937546, 0.092864125, 0.092864125),
        "Canon Input Transform 202007 (v1.2 code form)",
        Carriage.FULL,
        reflectance_scale=_WHITE_90,
        gamut=published_gamut("Cinema Gamut"),
    ),
    Curve(
        "Canon Log 3",
        MirroredLog(
            0.36726845,
            14.98325,
            0.12240537,
            0.12783901,
            1.9754798,
            0.12512219,
            (0.097465473, 0.15277891),
        ),
        "Canon Input Transform 202007 (v1.2 code form)",
        Carriage.FULL,
        reflectance_scale=_WHITE_90,
        gamut=published_gamut("Cinema Gamut"),
    ),
    Curve(
        "F-Log",
        LogWithToe(
            10.0,
            0.344676,
            0.790453,
            0.555556,
            0.009468,
            8.735631,
            0.092864,
            0.00089,
            0.100537775223865,
        ),
        "Fujifilm F-Log Data Sheet Ver.1.1",
        Carriage.FULL,
        gamut=published_gamut("F-Gamut"),
    ),
    Curve(
        "F-Log2",
        LogWithToe(
            10.0,
            0.245281,
            0.384316,
            5.555556,
            0.064829,
            8.799461,
            0.092864,
            0.000889,
            0.100686685370811,
        ),
        "Fujifilm F-Log2 Data Sheet Ver.1.0",
        Carriage.FULL,
        gamut=published_gamut("F-Gamut"),
    ),
    Curve(
        "N-Log",
        CubeRootLog(650.0 / 1023.0, 0.0075, 150.0 / 1023.0, 619.0 / 1023.0, 0.328, 452.0 / 1023.0),
        "Nikon N-Log Specification Document 1.0.0 (2018)",
        Carriage.FULL,
        gamut=published_gamut("N-Gamut"),
    ),
    Curve(
        "V-Log",
        LogWithToe(10.0, 0.241514, 0.598206, 1.0, 0.00873, 5.6, 0.125, 0.01, 0.181),
        "V-Log/V-Gamut Reference Manual Rev.1.0 (2014)",
        Carriage.FULL,
        gamut=published_gamut("V-Gamut"),
    ),
    Curve(
        "D-Log",
        LogWithToe(10.0, 0.256663, 0.584555, 0.9892, 0.0108, 6.025, 0.0929, 0.0078, 0.14),
        "White Paper on D-Log and D-Gamut of DJI Cinema Color System (2017); "
        "code basis from memory",
        Carriage.FULL,
        gamut=published_gamut("D-Gamut"),
    ),
    Curve(
        "Log3G10",
        _log3g10(),
        "White Paper on REDWideGamutRGB and Log3G10 (2017)",
        Carriage.FULL,
        carriage_stated=False,
        gamut=published_gamut("REDWideGamutRGB"),
    ),
    Curve(
        "Apple Log",
        SquareLog(47.28711236, -0.05641088, 0.08550479, 0.00964052, 0.69336945, 0.01),
        "Apple Log Profile White Paper (2023)",
        Carriage.FULL,
        carriage_stated=False,
        gamut=published_gamut("BT.2020"),
    ),
    Curve(
        "Film Generation 5",
        LogWithToe(
            float(np.e),
            0.08692876065491224,
            0.5300133392291939,
            1.0,
            0.005494072432257808,
            8.283605932402494,
            0.09246575342465753,
            0.005,
            8.283605932402494 * 0.005 + 0.09246575342465753,
        ),
        "Generation 5 Color Science (2021); carriage from its constants, which land on codes 145 "
        "and 400 exactly only on 64..940",
        Carriage.NARROW,
        carriage_stated=False,
        gamut=published_gamut("Wide Gamut Generation 5"),
    ),
    Curve(
        "DaVinci Intermediate",
        LogWithToe(
            2.0, 0.07329248, 7.0 * 0.07329248, 1.0, 0.0075, 10.44426855, 0.0, 0.00262409, 0.02740668
        ),
        "DaVinci Wide Gamut Intermediate note (2020)",
        Carriage.FULL,
        carriage_stated=False,
        gamut=published_gamut("DaVinci Wide Gamut"),
    ),
    Curve(
        "L-Log",
        LogWithToe(10.0, 0.27, 0.6, 1.3, 0.0115, 8.0, 0.09, 0.006, 0.1380),
        "L-Log Reference Manual (2022)",
        Carriage.FULL,
        gamut=published_gamut("BT.2020"),
    ),
    Curve(
        "ACEScct",
        LogWithToe(
            2.0,
            1.0 / 17.52,
            9.72 / 17.52,
            1.0,
            0.0,
            10.5402377416545,
            0.0729055341958355,
            0.0078125,
            0.155251141552511,
        ),
        "AMPAS S-2016-001 (a working space, not a camera output)",
        Carriage.FULL,
        carriage_stated=False,
        gamut=published_gamut("AP1"),
    ),
    Curve(
        "ACEScc",
        HalvedLog(9.72, 17.52),
        "AMPAS S-2014-003 (a working space, not a camera output)",
        Carriage.FULL,
        carriage_stated=False,
        gamut=published_gamut("AP1"),
    ),
    Curve(
        "Cineon",
        _cineon(),
        "10-bit printing-density log with points 95 and 685, via colour-science 0.4.7",
        Carriage.FULL,
        gamut=None,  # none was published with it
    ),
    Curve(
        "HLG",
        HybridLogGamma(0.17883277, 0.26496256042100724),
        "ITU-R BT.2100-2 Table 5; 100 % reflectance at 75 % by ITU-R BT.2408 Table 1",
        Carriage.NARROW,
        family=Family.HDR,
        gamut=published_gamut("BT.2020"),
        aliases=("HLG (BT.2100, BT.2408 line-up)", "BT.2100 HLG"),
    ),
    Curve(
        "PQ",
        PerceptualQuantizer(
            2610.0 / 16384.0,
            2523.0 / 4096.0 * 128.0,
            3424.0 / 4096.0,
            2413.0 / 4096.0 * 32.0,
            2392.0 / 4096.0 * 32.0,
            10000.0,
            203.0,
            1.2,
        ),
        "SMPTE ST 2084, ITU-R BT.2100-2 Table 4; 203 cd/m2 white and OOTF exponent 1.2 by "
        "ITU-R BT.2408 Table 1",
        Carriage.NARROW,
        family=Family.HDR,
        gamut=published_gamut("BT.2020"),
        aliases=("PQ (BT.2100, BT.2408 line-up)", "BT.2100 PQ"),
    ),
    Curve(
        "BT.709",
        PowerWithToe(0.45, 0.099, 4.5, 0.018),
        "ITU-R BT.709-6 item 1.2",
        Carriage.NARROW,
        family=Family.STANDARD,
        gamut=published_gamut("BT.709"),
        aliases=("BT.709 OETF", "Rec.709"),
    ),
    Curve(
        "BT.1886",
        Power(1.0 / 2.4),
        "ITU-R BT.1886 Annex 1 (black at 0), inverse",
        Carriage.NARROW,
        family=Family.STANDARD,
        gamut=published_gamut("BT.709"),  # the display's side of BT.709 (from memory)
        aliases=("BT.1886 inverse",),
    ),
    Curve(
        "BT.470 M",
        Power(1.0 / 2.2),
        "ITU-R BT.470-6, System M: assumed display gamma 2.2 (ITU-T H.273 Table 3), inverse",
        Carriage.NARROW,
        family=Family.STANDARD,
        gamut=None,
        aliases=("Gamma 2.2",),
    ),
    Curve(
        "sRGB",
        PowerWithToe(1.0 / 2.4, 0.055, 12.92, 0.0031308),
        "IEC 61966-2-1:1999",
        Carriage.FULL,
        family=Family.STANDARD,
        gamut=published_gamut("BT.709"),
    ),
)


_NAMES = Names(_PUBLISHED)


def published_curves() -> tuple[Curve, ...]:
    """Every curve that ships, in the order of the table.

    Examples
    --------
    >>> [curve.name for curve in published_curves()][:3]
    ['LogC3', 'LogC4', 'S-Log2']
    """
    return _PUBLISHED


def published_curve(name: str) -> Curve:
    """The curve of a published name; case, spaces and punctuation do not matter.

    Parameters
    ----------
    name:
        Or one of its aliases.

    Returns
    -------
    Curve
        The one that ships.

    Raises
    ------
    UnknownCurveError
        No such curve; the sentence offers the nearest names.

    Examples
    --------
    >>> published_curve("v log").name
    'V-Log'
    """
    found = _NAMES.find(name)
    if found is not None:
        return found
    near = _NAMES.near(name)
    hint = f"did you mean {', '.join(near)}?" if near else "`midgrey profiles --curves` lists them"
    raise UnknownCurveError(f"unknown curve {name!r}; {hint}")
