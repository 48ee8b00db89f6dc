"""What is uncertain about a spot's mean light, carried to any quantity that is made of it."""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from overlays.measure.spot.noise import SURE
from overlays.measure.spot.uncertainty import PlaneError, combine, student95

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class SeenNoise:
    """Noise of a spot's mean light as frames showed it.

    Attributes
    ----------
    covariance:
        (3, 3) of linear R, G, B of one frame's spot about the light's drift.
    degrees:
        Degrees of freedom behind it.
    """

    covariance: FloatArray
    degrees: float


@dataclass(frozen=True, slots=True)
class SpotErrors:
    """What is uncertain about a spot's mean light, to be carried to any quantity made of it.

    Attributes
    ----------
    planes:
        Errors of the three planes, in codes.
    slopes:
        (3, 3) mean derivative of linear R, G, B (rows) by the codes of the planes (columns).
    squares:
        (3, 3, 3): for each plane the (3, 3) mean product of those derivatives.
    excess:
        (3,) by how much mean R, G, B read high if the noise was added after the curve: half the
        curvature times the variance. Noise of the sensor comes before it and has none.
    correlation:
        (3, 3) of the noise of the three planes' means.
    seen:
        The noise from frame to frame, which then stands for that of the planes; None for one frame.
    """

    planes: list[PlaneError]
    slopes: FloatArray
    squares: FloatArray
    excess: FloatArray
    correlation: FloatArray
    seen: SeenNoise | None = None

    def pm(self, gradient: FloatArray) -> float:
        """95 % half width of f(R, G, B) given its (3,) gradient at the mean linear light."""
        bias = gradient @ self.slopes
        if self.seen is None:
            noise = np.sqrt(np.maximum(self.squares @ gradient @ gradient, 0.0))
            width = combine(noise, bias, self.planes, self.correlation)
        else:
            spread = math.sqrt(max(0.0, float(gradient @ self.seen.covariance @ gradient)))
            rounding = combine(np.zeros(3), bias, [rounding_only(p) for p in self.planes])
            width = math.hypot(SURE * student95(self.seen.degrees) * spread, rounding)
        return width + abs(float(gradient @ self.excess))


def rounding_only(plane: PlaneError) -> PlaneError:
    """The error without its noise."""
    return PlaneError(0.0, plane.rounding, plane.noise, plane.degrees)
