"""What is uncertain about a spot's mean light, carried to any quantity that is made of it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from overlays.measure.spot.noise import SURE
from overlays.measure.spot.stops import stops_pm
from overlays.measure.spot.uncertainty import (
    PlaneError,
    combine,
    student95,
    table_of,
)
from overlays.measure.spot.width_kernels import along_axes

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
    hidden, hidden_percent:
        (3,) linear R, G, B, and percent of video level, that noise may have over the clip.
    """

    planes: list[PlaneError]
    slopes: FloatArray
    squares: FloatArray
    excess: FloatArray
    correlation: FloatArray
    seen: SeenNoise | None = None
    hidden: FloatArray = field(default_factory=lambda: np.zeros(3))
    hidden_percent: float = 0.0

    def pm(self, gradient: FloatArray) -> float:
        """95 % half width of a quantity f(R, G, B).

        Parameters
        ----------
        gradient:
            (3,) float64 derivatives of f by linear R, G, B at their means.

        Returns
        -------
        float
            In the unit of f, linear light where f is one channel.

        Examples
        --------
        >>> still = PlaneError(standard=0.0, rounding=0.5, noise=0.0, degrees=9.0)
        >>> none = np.zeros((3, 3, 3))
        >>> errors = SpotErrors([still] * 3, 0.001 * np.eye(3), none, np.zeros(3), np.eye(3))
        >>> round(errors.pm(np.array([1.0, 0.0, 0.0])), 6)  # half a code of 0.001 each
        0.0005
        """
        bias = gradient @ self.slopes
        if self.seen is None:
            noise = np.sqrt(np.maximum(self.squares @ gradient @ gradient, 0.0))
            width = combine(noise, bias, self.planes, self.correlation)
        else:
            rounding = combine(np.zeros(3), bias, [rounding_only(p) for p in self.planes])
            width = math.hypot(self._over_frames(gradient, self.seen), rounding)
        return width + abs(float(gradient @ self.excess)) + float(np.abs(gradient) @ self.hidden)

    def noise_share(self, gradient: FloatArray, width: float) -> float:
        """How much of a half width is noise, which is new in each spot.

        Parameters
        ----------
        gradient, width:
            What `pm` was asked, and what it said.

        Returns
        -------
        float
            0 to 1; all else adds to it in squares.

        Examples
        --------
        >>> still = PlaneError(standard=0.0, rounding=0.5, noise=0.0, degrees=9.0)
        >>> none = np.zeros((3, 3, 3))
        >>> errors = SpotErrors([still] * 3, 0.001 * np.eye(3), none, np.zeros(3), np.eye(3))
        >>> errors.noise_share(np.array([1.0, 0.0, 0.0]), 0.0005)  # all of it is rounding
        0.0
        """
        if width <= 0.0:
            return 0.0
        if self.seen is not None:
            return self._over_frames(gradient, self.seen) / width
        sizes = np.sqrt(np.maximum(self.squares @ gradient @ gradient, 0.0))
        noise = [replace(plane, rounding=0.0) for plane in self.planes]
        return combine(sizes, gradient @ self.slopes, noise, self.correlation) / width

    def axis_pms(self) -> tuple[float, float, float]:
        """95 % half widths of mean R, G and B themselves: `pm` along the three axes.

        Returns
        -------
        tuple[float, float, float]
            Linear light.

        Examples
        --------
        >>> still = PlaneError(standard=0.0, rounding=0.5, noise=0.0, degrees=9.0)
        >>> none = np.zeros((3, 3, 3))
        >>> errors = SpotErrors([still] * 3, 0.001 * np.eye(3), none, np.zeros(3), np.eye(3))
        >>> errors.axis_pms()
        (0.0005, 0.0005, 0.0005)
        """
        if self.seen is not None:
            red, green, blue = (self.pm(axis) for axis in np.eye(3))
            return red, green, blue
        return along_axes(
            (self.squares, self.slopes, self.correlation),
            table_of(self.planes),
            (self.excess, self.hidden),
        )

    @staticmethod
    def _over_frames(gradient: FloatArray, seen: SeenNoise) -> float:
        spread = math.sqrt(max(0.0, float(gradient @ seen.covariance @ gradient)))
        return SURE * student95(seen.degrees) * spread

    def channel_pms(
        self, light: FloatArray, stops: Sequence[float | None]
    ) -> tuple[float | None, float | None, float | None]:
        """Half widths of R, G and B; None where there is no light, or it may be none.

        Parameters
        ----------
        light:
            (3,) mean linear R, G, B.
        stops:
            The same in stops; None for no light.

        Returns
        -------
        tuple[float | None, float | None, float | None]
            Stops, 95 %.

        Examples
        --------
        >>> still = PlaneError(standard=0.0, rounding=0.5, noise=0.0, degrees=9.0)
        >>> none = np.zeros((3, 3, 3))
        >>> errors = SpotErrors([still] * 3, 0.001 * np.eye(3), none, np.zeros(3), np.eye(3))
        >>> red, green, blue = errors.channel_pms(np.array([0.18, 0.18, 0.0]), (0.0, 0.0, None))
        >>> round(red, 4), round(green, 4), blue
        (0.004, 0.004, None)
        """
        red, green, blue = (
            None if of is None else stops_pm(mean, width)
            for of, mean, width in zip(stops, light.tolist(), self.axis_pms(), strict=True)
        )
        return red, green, blue


def rounding_only(plane: PlaneError) -> PlaneError:
    """The error without its noise.

    Parameters
    ----------
    plane:
        Of one plane's mean.

    Returns
    -------
    PlaneError
        In codes.

    Examples
    --------
    >>> quiet = rounding_only(PlaneError(standard=0.2, rounding=0.5, noise=0.9, degrees=9.0))
    >>> quiet.standard, quiet.rounding, quiet.noise, quiet.degrees
    (0.0, 0.5, 0.9, 9.0)
    """
    return replace(plane, standard=0.0)
