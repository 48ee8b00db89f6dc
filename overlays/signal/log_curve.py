"""Curves of one's own, by the log parameters of the Common LUT Format."""

from dataclasses import dataclass

import numpy as np

from overlays.errors import CurveParameterError
from overlays.signal.curve_check import check_formula
from overlays.signal.curves import Curve
from overlays.signal.formula import Formula
from overlays.signal.formulas import LogWithToe, PureLog
from overlays.signal.levels import Carriage


@dataclass(frozen=True, slots=True)
class LogParameters:
    """A custom log curve by the log parameters of the Common LUT Format.

    Academy/ASC Common LUT Format S-2014-006, Log node of styles ``linToLog`` (no break) and
    ``cameraLinToLog``: above the break
    ``v = logSideSlope log_base(linSideSlope x + linSideOffset) + logSideOffset``, below it a
    straight line that meets the log there, of `linear_slope` or of the log's own slope.
    """

    base: float = 2.0
    log_side_slope: float = 1.0
    log_side_offset: float = 0.0
    lin_side_slope: float = 1.0
    lin_side_offset: float = 0.0
    lin_side_break: float | None = None
    linear_slope: float | None = None


def custom_curve(name: str, parameters: LogParameters, carriage: Carriage = Carriage.FULL) -> Curve:
    """The curve of a set of log parameters.

    Parameters
    ----------
    name:
        What to call it.
    parameters:
        Of the logarithm and its straight part.
    carriage:
        How its 0..1 is laid on codes.

    Returns
    -------
    Curve
        Of the family of logarithms, without a published gamut.

    Raises
    ------
    CurveParameterError
        The parameters cannot make a curve that rises, is finite and can be inverted over its codes.

    Examples
    --------
    >>> pure = custom_curve("mine", LogParameters(log_side_slope=0.1, log_side_offset=0.5))
    >>> round(pure.encode(1.0), 3), round(pure.encode(2.0), 3)  # a tenth for each stop
    (0.5, 0.6)
    """
    curve = drafted_curve(name, parameters, carriage)
    check_formula(curve.formula)
    return curve


def drafted_curve(
    name: str, parameters: LogParameters, carriage: Carriage = Carriage.FULL
) -> Curve:
    """The same before its formula is checked (`check_formula`), for whoever tries many.

    Parameters
    ----------
    name, parameters, carriage:
        As of `custom_curve`.

    Returns
    -------
    Curve
        Not to be measured with before it was checked: light may be infinite or not rise.

    Raises
    ------
    CurveParameterError
        A parameter by itself cannot be.

    Examples
    --------
    >>> steep = drafted_curve("mine", LogParameters(log_side_slope=1e-3))  # `custom_curve` says no
    >>> round(steep.encode(2.0), 4)
    0.001
    """
    try:
        formula = _formula(parameters)
    except ArithmeticError as fault:
        raise CurveParameterError(
            "its parameters are too large or too small to be reckoned with; check them"
        ) from fault
    source = "the profile's own log parameters (Common LUT Format, S-2014-006)"
    return Curve(name, formula, source, carriage)


def _formula(p: LogParameters) -> Formula:
    """The formula of a set of parameters that is possible key by key."""
    if p.base <= 1.0:
        raise CurveParameterError(f"base = {p.base:g}; a number above 1 is needed (2 or 10)")
    for key, number in (
        ("log_side_slope", p.log_side_slope),
        ("lin_side_slope", p.lin_side_slope),
        ("linear_slope", 1.0 if p.linear_slope is None else p.linear_slope),
    ):
        if number <= 0.0:
            raise CurveParameterError(f"{key} = {number:g}; a curve that rises needs it above 0")
    if p.lin_side_break is None:
        if p.linear_slope is not None:
            raise CurveParameterError("linear_slope without lin_side_break; give both or neither")
        return PureLog(
            p.base, p.log_side_slope, p.log_side_offset, p.lin_side_slope, p.lin_side_offset
        )
    at_break = p.lin_side_slope * p.lin_side_break + p.lin_side_offset
    if at_break <= 0.0:
        raise CurveParameterError(
            f"lin_side_break = {p.lin_side_break:g} lies where the logarithm has no value; "
            f"it must be above {-p.lin_side_offset / p.lin_side_slope:g}"
        )
    value = p.log_side_slope * float(np.log(at_break) / np.log(p.base)) + p.log_side_offset
    toe = p.linear_slope
    if toe is None:
        toe = p.log_side_slope * p.lin_side_slope / (at_break * float(np.log(p.base)))
    return LogWithToe(
        p.base,
        p.log_side_slope,
        p.log_side_offset,
        p.lin_side_slope,
        p.lin_side_offset,
        toe,
        value - toe * p.lin_side_break,
        p.lin_side_break,
        value,
    )
