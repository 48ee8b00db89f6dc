"""The round graticule of the chroma trace: what lies where on Cb and Cr, from the standards.

Positions are nominal (Cb, Cr), -0.5 to 0.5 each, so that the same figures serve every size, gain,
depth and range.
"""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from overlays.draw.layout.areas import Area
from overlays.measure.colour.locus import uv_to_xy, xy_to_uv
from overlays.signal.carried import CarriedCurve
from overlays.signal.curves import MID_GREY
from overlays.signal.gamuts import FloatArray, Gamut, xy_to_xyz
from overlays.signal.levels import chroma_scale
from overlays.signal.signal import Matrix, Signal

BARS = (
    ("R", (1, 0, 0)),
    ("Mg", (1, 0, 1)),
    ("B", (0, 0, 1)),
    ("Cy", (0, 1, 1)),
    ("G", (0, 1, 0)),
    ("Yl", (1, 1, 0)),
)
"""The six colours of the bars (ITU-R BT.814, SMPTE RP 219), each of full or three quarter level."""
BAR_LEVELS = (0.75, 1.0)

SKIN_DEGREES = math.degrees(math.atan2(629 - 512, 412 - 512))
"""Skin-tone line, 130.5 degrees from +Cb towards +Cr: the direction of the +I patch of the bars of
SMPTE RP 219, codes Cb 412 and Cr 629 at 10 bits (seen second-hand). +I is the axis of the NTSC
signal that was laid through skin; that skins lie near it is common practice, no source."""

REACH = 0.62
"""Nominal chroma at the rim at gain 1: all of the 100 % bars lie inside."""
GAINS = (1, 2, 4, 8)
RING_POINTS = 48


@dataclass(frozen=True, slots=True)
class Target:
    """Where a bar lies: its name, level, and nominal Cb and Cr."""

    name: str
    level: float
    cb: float
    cr: float


def chroma_of(rgb: FloatArray, matrix: Matrix) -> FloatArray:
    """Nominal Cb, Cr, (..., 2), of nominal R', G', B', (..., 3) (ITU-R BT.709-6 items 3.2, 3.3)."""
    red, green, blue = matrix.weights
    luma = rgb @ np.array([red, green, blue])
    cb = (rgb[..., 2] - luma) / (2.0 - 2.0 * blue)
    cr = (rgb[..., 0] - luma) / (2.0 - 2.0 * red)
    return np.stack([cb, cr], axis=-1)


def targets(matrix: Matrix) -> tuple[Target, ...]:
    """Every bar at 75 % and at 100 %."""
    out = []
    for level in BAR_LEVELS:
        for name, rgb in BARS:
            cb, cr = chroma_of(level * np.array(rgb, dtype=np.float64), matrix)
            out.append(Target(name, level, float(cb), float(cr)))
    return tuple(out)


def tolerance_ring(
    gamut: Gamut, tolerance: float, carried: CarriedCurve, matrix: Matrix
) -> FloatArray:
    """(RING_POINTS, 2) nominal Cb, Cr of mid-greys just within tolerance of the gamut's white.

    `tolerance` is the distance in CIE 1976 u', v'. Darker and lighter cards differ a little, since
    the curve bends; mid-grey stands for them.
    """
    u, v = xy_to_uv(*gamut.white)
    angles = np.linspace(0.0, 2.0 * math.pi, RING_POINTS, endpoint=False)
    out = np.empty((RING_POINTS, 2))
    for n, angle in enumerate(angles):
        # v' = 1.5 v
        at = uv_to_xy(u + tolerance * math.cos(angle), v + tolerance * math.sin(angle) / 1.5)
        linear = gamut.from_xyz @ (MID_GREY * xy_to_xyz(at))
        out[n] = chroma_of(np.asarray(carried.nominal(linear)), matrix)
    return out


@dataclass(frozen=True, slots=True)
class Disc:
    """A chroma trace on the screen: where its middle is and how many pixels a nominal 1.0 is."""

    area: Area
    gain: int

    @property
    def middle(self) -> tuple[float, float]:
        """(x, y) of no colour, in pixels of the screen."""
        return (
            self.area.left + self.area.width / 2.0,
            self.area.top + self.area.height / 2.0,
        )

    @property
    def radius(self) -> float:
        """Of the rim in pixels."""
        return min(self.area.width, self.area.height) / 2.0

    @property
    def pixels(self) -> float:
        """Pixels to a nominal 1.0 of Cb or Cr."""
        return self.radius / REACH * self.gain

    def point(self, cb: float, cr: float) -> tuple[float, float]:
        """(x, y) of a nominal Cb, Cr; Cb runs right, Cr up."""
        x, y = self.middle
        return x + cb * self.pixels, y - cr * self.pixels

    def holds(self, cb: float, cr: float, rim: float = 0.0) -> bool:
        """Whether a point lies within the disc, `rim` pixels inside its edge."""
        return math.hypot(cb, cr) * self.pixels <= self.radius - rim


def cells_of_pixels(
    disc: Disc, signal: Signal
) -> tuple[npt.NDArray[np.float32], npt.NDArray[np.float32]]:
    """For each column and each row of the disc's area, which cell of the census's chroma it shows.

    Whole numbers are the middles of cells; a cell of more than 8 bits stands for several codes.
    """
    eight = Signal(bits=8, range=signal.range)
    scale = chroma_scale(eight)
    several = 1 << (signal.bits - 8)
    middle = (several - 1) / 2.0 / several
    area = disc.area
    x, y = disc.middle
    across = (area.left + np.arange(area.width) + 0.5 - x) / disc.pixels
    down = (y - area.top - np.arange(area.height) - 0.5) / disc.pixels
    return (
        (across * scale.span + scale.zero - middle).astype(np.float32),
        (down * scale.span + scale.zero - middle).astype(np.float32),
    )
