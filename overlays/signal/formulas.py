"""The shapes that published transfer functions take, each with its two directions.

A formula maps linear light (the curve's own scale, reflectance for most) to the curve's signal `v`
and back. Both directions are built from one frozen object, so that they cannot drift apart. All
functions work element by element on float64 arrays of any shape and keep the sign of light below
black wherever the publication leaves that open.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from overlays.signal.logarithms import light_of_log, log_of

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class LogWithToe:
    """``v = slope log_base(gain x + shift) + offset`` above a break, ``toe x + toe_offset`` below.

    `linear_break` and `value_break` are stated apart because some publications round them so that
    the two directions do not meet exactly there.

    Examples
    --------
    >>> log = LogWithToe(2.0, 0.1, 0.5, 1.0, 0.0, 1.0, 0.0, 0.01, 0.01)
    >>> log.encode(np.array([0.005, 1.0, 2.0])).round(3).tolist()
    [0.005, 0.5, 0.6]
    """

    base: float
    slope: float
    offset: float
    gain: float
    shift: float
    toe: float
    toe_offset: float
    linear_break: float
    value_break: float

    def encode(self, linear: FloatArray) -> FloatArray:
        """Signal of linear light."""
        log = self.slope * log_of(self.gain * linear + self.shift, self.base) + self.offset
        return np.where(linear >= self.linear_break, log, self.toe * linear + self.toe_offset)

    def decode(self, value: FloatArray) -> FloatArray:
        """Linear light of a signal."""
        power = light_of_log(value, self.base, self.slope, self.offset, self.gain, self.shift)
        return np.where(value >= self.value_break, power, (value - self.toe_offset) / self.toe)


@dataclass(frozen=True, slots=True)
class PureLog:
    """``v = slope log_base(gain x + shift) + offset`` with no toe.

    Examples
    --------
    >>> log = PureLog(base=10.0, slope=0.25, offset=0.5, gain=1.0, shift=0.0)
    >>> log.encode(np.array([0.1, 1.0, 10.0])).round(3).tolist()
    [0.25, 0.5, 0.75]
    """

    base: float
    slope: float
    offset: float
    gain: float
    shift: float

    def encode(self, linear: FloatArray) -> FloatArray:
        """Signal of linear light."""
        return self.slope * log_of(self.gain * linear + self.shift, self.base) + self.offset

    def decode(self, value: FloatArray) -> FloatArray:
        """Linear light of a signal."""
        return light_of_log(value, self.base, self.slope, self.offset, self.gain, self.shift)


@dataclass(frozen=True, slots=True)
class MirroredLog:
    """A log that is mirrored about black, with a straight piece of half-width `linear_break`.

    ``v = offset + toe x`` where ``|x| <= linear_break``, else
    ``v = middle_(+/-) +/- slope log10(gain |x| + 1)``.

    Examples
    --------
    >>> log = MirroredLog(slope=0.5, gain=9.0, above=0.1, below=0.1)
    >>> log.encode(np.array([-1.0, 0.0, 1.0])).round(3).tolist()
    [-0.4, 0.1, 0.6]
    """

    slope: float
    gain: float
    above: float
    below: float
    toe: float = 0.0
    toe_offset: float = 0.0
    value_breaks: tuple[float, float] | None = None

    def encode(self, linear: FloatArray) -> FloatArray:
        """Signal of linear light."""
        log = self.slope * log_of(self.gain * np.abs(linear) + 1.0, 10.0)
        out = np.where(linear < 0.0, self.below - log, self.above + log)
        if self.value_breaks is None:
            return out
        low, high = (self._outer(np.asarray(v)) for v in self.value_breaks)
        straight = (linear >= low) & (linear <= high)
        return np.where(straight, self.toe * linear + self.toe_offset, out)

    def decode(self, value: FloatArray) -> FloatArray:
        """Linear light of a signal."""
        out = self._outer(value)
        if self.value_breaks is None:
            return out
        low, high = self.value_breaks
        straight = (value >= low) & (value <= high)
        return np.where(straight, (value - self.toe_offset) / self.toe, out)

    def _outer(self, value: FloatArray) -> FloatArray:
        above = (10.0 ** ((value - self.above) / self.slope) - 1.0) / self.gain
        below = -(10.0 ** ((self.below - value) / self.slope) - 1.0) / self.gain
        return np.where(value < self.below, below, above)


@dataclass(frozen=True, slots=True)
class CubeRootLog:
    """``v = scale (x + shift)^(1/3)`` below a break, ``slope ln(x) + offset`` above.

    Examples
    --------
    >>> log = CubeRootLog(1.0, 0.0, 0.1, 0.5, linear_break=0.01, value_break=0.2)
    >>> log.encode(np.array([0.001, 1.0])).round(3).tolist()
    [0.1, 0.5]
    """

    scale: float
    shift: float
    slope: float
    offset: float
    linear_break: float
    value_break: float

    def encode(self, linear: FloatArray) -> FloatArray:
        """Signal of linear light."""
        root = self.scale * np.cbrt(linear + self.shift)
        log = self.slope * log_of(linear, np.e) + self.offset
        return np.where(linear < self.linear_break, root, log)

    def decode(self, value: FloatArray) -> FloatArray:
        """Linear light of a signal."""
        cube = (value / self.scale) ** 3 - self.shift
        power = np.exp((value - self.offset) / self.slope)
        return np.where(value < self.value_break, cube, power)


@dataclass(frozen=True, slots=True)
class SquareLog:
    """``v = scale (x - start)^2`` up to a break, ``slope log2(x + shift) + offset`` above.

    Examples
    --------
    >>> log = SquareLog(10.0, 0.0, 0.1, 0.0, 0.5, linear_break=0.1)
    >>> log.encode(np.array([0.05, 1.0, 2.0])).round(3).tolist()
    [0.025, 0.5, 0.6]
    """

    scale: float
    start: float
    slope: float
    shift: float
    offset: float
    linear_break: float

    def encode(self, linear: FloatArray) -> FloatArray:
        """Signal of linear light; 0 below `start`."""
        square = self.scale * np.maximum(linear - self.start, 0.0) ** 2
        log = self.slope * log_of(linear + self.shift, 2.0) + self.offset
        return np.where(linear < self.linear_break, square, log)

    def decode(self, value: FloatArray) -> FloatArray:
        """Linear light of a signal; `start` at 0 and below."""
        root = np.sqrt(np.maximum(value, 0.0) / self.scale) + self.start
        power = 2.0 ** ((value - self.offset) / self.slope) - self.shift
        value_break = self.scale * (self.linear_break - self.start) ** 2
        return np.where(value < value_break, root, power)


@dataclass(frozen=True, slots=True)
class PowerWithToe:
    """``v = (1 + lift) x^power - lift`` above a break, ``toe x`` below (also below black).

    Examples
    --------
    >>> video = PowerWithToe(power=0.45, lift=0.099, toe=4.5, linear_break=0.018)  # ITU-R BT.709-6
    >>> video.encode(np.array([0.01, 0.18, 1.0])).round(3).tolist()
    [0.045, 0.409, 1.0]
    """

    power: float
    lift: float
    toe: float
    linear_break: float

    def encode(self, linear: FloatArray) -> FloatArray:
        """Signal of linear light."""
        upper = (1.0 + self.lift) * np.maximum(linear, 0.0) ** self.power - self.lift
        return np.where(linear < self.linear_break, self.toe * linear, upper)

    def decode(self, value: FloatArray) -> FloatArray:
        """Linear light of a signal."""
        upper = (np.maximum(value + self.lift, 0.0) / (1.0 + self.lift)) ** (1.0 / self.power)
        value_break = (1.0 + self.lift) * self.linear_break**self.power - self.lift
        return np.where(value < value_break, value / self.toe, upper)


@dataclass(frozen=True, slots=True)
class Power:
    """``v = x^power``, odd about black so that sub-black codes keep their sign.

    Examples
    --------
    >>> Power(power=0.5).encode(np.array([-0.25, 0.25])).tolist()
    [-0.5, 0.5]
    """

    power: float

    def encode(self, linear: FloatArray) -> FloatArray:
        """Signal of linear light."""
        return np.sign(linear) * np.abs(linear) ** self.power

    def decode(self, value: FloatArray) -> FloatArray:
        """Linear light of a signal."""
        return np.sign(value) * np.abs(value) ** (1.0 / self.power)


@dataclass(frozen=True, slots=True)
class HybridLogGamma:
    """The OETF of ITU-R BT.2100-2 Table 5, odd about black; `line_up` is E of 100 % reflectance.

    Examples
    --------
    >>> hybrid = HybridLogGamma(a=0.17883277, line_up=1.0)  # ITU-R BT.2100-2 Table 5
    >>> hybrid.encode(np.array([1 / 12, 1.0])).round(3).tolist()
    [0.5, 1.0]
    """

    a: float
    line_up: float

    def _constants(self) -> tuple[float, float]:
        return 1.0 - 4.0 * self.a, 0.5 - self.a * float(np.log(4.0 * self.a))

    def encode(self, linear: FloatArray) -> FloatArray:
        """Signal of linear light."""
        b, c = self._constants()
        scene = np.abs(linear) * self.line_up
        log = self.a * log_of(12.0 * scene - b, np.e) + c
        return np.sign(linear) * np.where(scene <= 1.0 / 12.0, np.sqrt(3.0 * scene), log)

    def decode(self, value: FloatArray) -> FloatArray:
        """Linear light of a signal."""
        b, c = self._constants()
        size = np.abs(value)
        log = (np.exp((size - c) / self.a) + b) / 12.0
        scene = np.where(size <= 0.5, size**2 / 3.0, log)
        return np.sign(value) * scene / self.line_up


@dataclass(frozen=True, slots=True)
class PerceptualQuantizer:
    """The inverse EOTF of SMPTE ST 2084 / ITU-R BT.2100-2 Table 4 behind ``white x^system_gamma``.

    Odd about black; a signal above 1 is held at 1, where the function ends (10 000 cd/m2).

    Examples
    --------
    >>> m1, m2, c1, c2, c3 = 2610 / 16384, 2523 / 32, 3424 / 4096, 2413 / 128, 2392 / 128
    >>> pq = PerceptualQuantizer(m1, m2, c1, c2, c3, peak=1e4, white=100.0, system_gamma=1.0)
    >>> pq.encode(np.array([1.0, 100.0])).round(3).tolist()  # 100 cd/m2 and 10 000 cd/m2
    [0.508, 1.0]
    """

    m1: float
    m2: float
    c1: float
    c2: float
    c3: float
    peak: float
    white: float
    system_gamma: float

    def encode(self, linear: FloatArray) -> FloatArray:
        """Signal of linear light."""
        light = (self.white * np.abs(linear) ** self.system_gamma / self.peak) ** self.m1
        return np.sign(linear) * ((self.c1 + self.c2 * light) / (1.0 + self.c3 * light)) ** self.m2

    def decode(self, value: FloatArray) -> FloatArray:
        """Linear light of a signal."""
        root = np.minimum(np.abs(value), 1.0) ** (1.0 / self.m2)
        light = np.maximum(root - self.c1, 0.0) / (self.c2 - self.c3 * root)
        display = self.peak * light ** (1.0 / self.m1)
        return np.sign(value) * (display / self.white) ** (1.0 / self.system_gamma)


@dataclass(frozen=True, slots=True)
class HalvedLog:
    """``v = (log2 x + offset) / span``, below 2^-15 ``(log2(2^-16 + x / 2) + offset) / span``.

    Examples
    --------
    >>> log = HalvedLog(offset=10.0, span=20.0)
    >>> log.encode(np.array([1.0, 2.0**-5])).round(3).tolist()
    [0.5, 0.25]
    """

    offset: float
    span: float

    def encode(self, linear: FloatArray) -> FloatArray:
        """Signal of linear light; all light at or below zero has one signal."""
        low = 2.0**-16 + 0.5 * np.maximum(linear, 0.0)
        return (log_of(np.where(linear < 2.0**-15, low, linear), 2.0) + self.offset) / self.span

    def decode(self, value: FloatArray) -> FloatArray:
        """Linear light of a signal."""
        power = 2.0 ** (value * self.span - self.offset)
        value_break = (self.offset - 15.0) / self.span
        return np.where(value < value_break, (power - 2.0**-16) * 2.0, power)
