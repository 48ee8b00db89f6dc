"""Whether a curve that somebody made up can be measured with, as a whole and not key by key."""

import numpy as np
import numpy.typing as npt

from overlays.errors import CurveParameterError
from overlays.signal.formula import Formula

FloatArray = npt.NDArray[np.float64]

CODES = (-0.0731, 1.0957)
"""Signal values of a whole code scale and of video percent at the ends of 16 bits, limited range:
-4096 / 56064 below and (65535 - 4096) / 56064 above (ITU-R BT.709 and BT.2100 at 16 bits)."""
SPAN = (-1.33, 2.95)
"""What any R'G'B' out of any codes can be (`carried.TABLE_LOW` and `TABLE_HIGH`), carried either
way; light must be finite there too."""
MOST_LIGHT = 1e30
"""Light that can be added up over a picture, and squared over a spot, without ceasing to be one."""
_NODES = 4097
_AT, _WHOLE = np.linspace(*CODES, _NODES), np.linspace(*SPAN, _NODES)
_LOST = 2e-3
"""Of a tenth of the codes, by which a value may come back otherwise: a fifth of a 10-bit code."""
MOST_GREY = 10.0
"""Ten times the codes either way: mid-grey that lies out there is one by mistake."""


def check_formula(formula: Formula) -> None:
    """Refuse a formula that is not finite, does not rise, or cannot be inverted over its codes.

    Parameters
    ----------
    formula:
        On reflectance, mid-grey at 0.18.

    Raises
    ------
    CurveParameterError
        The sentence says what is wrong with the curve as a whole.

    Examples
    --------
    >>> from overlays.signal.formulas import Power
    >>> check_formula(Power(power=0.45))
    >>> check_formula(Power(power=-0.45))
    Traceback (most recent call last):
        ...
    overlays.errors.CurveParameterError: the curve does not rise at -7.3 % of...
    """
    with np.errstate(all="ignore"):
        codes, light, whole = _AT, formula.decode(_AT), formula.decode(_WHOLE)
        back = formula.encode(light)
        grey = float(formula.encode(np.asarray(0.18)))
        if not (np.abs(whole) < MOST_LIGHT).all():
            raise CurveParameterError(
                "its parameters make light without end out of codes that a feed may have; check "
                "base and slopes"
            )
        rises = np.diff(light) > 0.0
        if not rises.all():
            at = float(codes[int(np.argmin(rises))])
            raise CurveParameterError(
                f"the curve does not rise at {100.0 * at:.1f} % of its codes: two of them mean the "
                "same light; check its parameters"
            )
        if not (np.abs(back - codes) < _LOST * 0.1).all():
            raise CurveParameterError(
                "the curve cannot be followed back: light made of its codes gives other codes; "
                "check its parameters, above all the offsets against the slopes"
            )
        if not abs(grey) <= MOST_GREY:
            raise CurveParameterError(
                f"mid-grey lies at {100.0 * grey:.4g} % of its codes; check its parameters"
            )
