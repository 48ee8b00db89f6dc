"""A curve: an opto-electronic transfer function with its name, carriage and source.

Stops are ``log2(linear / 0.18)``: 0 is mid-grey, 18 % reflectance.
"""

from dataclasses import dataclass, field
from enum import Enum
from typing import overload

import numpy as np
import numpy.typing as npt

from overlays.signal.formula import Formula
from overlays.signal.gamuts import Gamut
from overlays.signal.levels import Carriage

FloatArray = npt.NDArray[np.float64]

MID_GREY = 0.18
"""Reflectance of mid-grey; the zero of stops."""


class Family(Enum):
    """What kind of curve it is, for defaults and labels."""

    STANDARD = "standard gamma"
    LOG = "log"
    HDR = "HDR"


@overload
def linear_to_stops(linear: float) -> float: ...
@overload
def linear_to_stops(linear: FloatArray) -> FloatArray: ...
def linear_to_stops(linear: float | FloatArray) -> float | FloatArray:
    """Stops from mid-grey of linear light; minus infinity at zero, nan below it.

    Parameters
    ----------
    linear:
        Scene reflectance, a number or an array of any shape; so is what comes back.

    Returns
    -------
    float or ndarray
        Stops from mid-grey, of the same shape.

    Examples
    --------
    >>> linear_to_stops(0.36)
    1.0
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        out = np.log2(np.asarray(linear, dtype=np.float64) / MID_GREY)
    return float(out) if np.ndim(linear) == 0 else out


@overload
def stops_to_linear(stops: float) -> float: ...
@overload
def stops_to_linear(stops: FloatArray) -> FloatArray: ...
def stops_to_linear(stops: float | FloatArray) -> float | FloatArray:
    """Linear light of a number of stops from mid-grey.

    Parameters
    ----------
    stops:
        A number or an array of any shape; so is what comes back.

    Returns
    -------
    float or ndarray
        Scene reflectance, of the same shape.

    Examples
    --------
    >>> stops_to_linear(0.0), stops_to_linear(1.0)
    (0.18, 0.36)
    """
    out = MID_GREY * np.exp2(np.asarray(stops, dtype=np.float64))
    return float(out) if np.ndim(stops) == 0 else out


@dataclass(frozen=True, slots=True)
class Curve:
    """A transfer function by its published name.

    Attributes
    ----------
    name:
        As the publication calls it.
    formula:
        Its two directions, on the scale the publication uses.
    source:
        The publication.
    carriage:
        How its 0..1 is laid on codes.
    carriage_stated:
        Whether the publication says so; False means that only a reading of the feed decides.
    family:
        Standard gamma, log or HDR.
    reflectance_scale:
        Linear light of the formula per unit of reflectance (1/0.9 for curves whose 1.0 is a 90 %
        white).
    aliases:
        Other spellings accepted in a profile or on the command line.
    gamut:
        Published together with it; None where none was, and what R, G and B mean is then a guess
        that is said.
    """

    name: str
    formula: Formula
    source: str
    carriage: Carriage
    carriage_stated: bool = True
    family: Family = Family.LOG
    reflectance_scale: float = 1.0
    aliases: tuple[str, ...] = field(default=())
    gamut: Gamut | None = None

    @overload
    def encode(self, linear: float) -> float: ...
    @overload
    def encode(self, linear: FloatArray) -> FloatArray: ...
    def encode(self, linear: float | FloatArray) -> float | FloatArray:
        """The curve's signal `v` of scene reflectance (0.18 is mid-grey); any shape.

        Parameters
        ----------
        linear:
            A number or an array, negative too; the signal comes back in the same form.

        Returns
        -------
        float or ndarray
            `v`, nominally 0 to 1, of the same shape.

        Examples
        --------
        >>> from overlays.signal.published import published_curve
        >>> round(1023 * float(published_curve("S-Log3").encode(0.18)))  # the maker: 420
        420
        """
        light = np.asarray(linear, dtype=np.float64) * self.reflectance_scale
        out = self.formula.encode(light)
        return float(out) if np.ndim(linear) == 0 else out

    @overload
    def decode(self, value: float) -> float: ...
    @overload
    def decode(self, value: FloatArray) -> FloatArray: ...
    def decode(self, value: float | FloatArray) -> float | FloatArray:
        """Scene reflectance of the curve's signal `v`; any shape, beyond 0..1 too.

        Parameters
        ----------
        value:
            A number or an array; the light comes back in the same form.

        Returns
        -------
        float or ndarray
            Linear; mid-grey is 0.18. Of the same shape.

        Examples
        --------
        >>> from overlays.signal.published import published_curve
        >>> round(published_curve("S-Log3").decode(420 / 1023), 3)
        0.18
        """
        out = self.formula.decode(np.asarray(value, dtype=np.float64)) / self.reflectance_scale
        return float(out) if np.ndim(value) == 0 else out

    @overload
    def stops_to_value(self, stops: float) -> float: ...
    @overload
    def stops_to_value(self, stops: FloatArray) -> FloatArray: ...
    def stops_to_value(self, stops: float | FloatArray) -> float | FloatArray:
        """The curve's signal `v` a number of stops from mid-grey.

        Parameters
        ----------
        stops:
            Stops from mid-grey; an array may have any shape.

        Returns
        -------
        float or ndarray
            `v`, nominally 0 to 1, of the same shape.

        Examples
        --------
        >>> from overlays.signal.published import published_curve
        >>> log = published_curve("S-Log3")
        >>> [round(1023 * log.stops_to_value(stops)) for stops in (0.0, 1.0, 2.0)]
        [420, 496, 573]
        """
        return self.encode(stops_to_linear(stops))

    @overload
    def value_to_stops(self, value: float) -> float: ...
    @overload
    def value_to_stops(self, value: FloatArray) -> FloatArray: ...
    def value_to_stops(self, value: float | FloatArray) -> float | FloatArray:
        """Stops from mid-grey of the curve's signal `v`; minus infinity or nan at no light.

        Parameters
        ----------
        value:
            `v`, nominally 0 to 1; an array may have any shape.

        Returns
        -------
        float or ndarray
            Stops from mid-grey, of the same shape.

        Examples
        --------
        >>> from overlays.signal.published import published_curve
        >>> round(published_curve("S-Log3").value_to_stops(496 / 1023), 2)
        1.0
        """
        return linear_to_stops(self.decode(value))
