"""How large a screen is, and how far the eye is from it: what type has to be for that."""

import math
from dataclasses import dataclass

READ_MINUTES = 16.0
"""Least height of what is read, as an angle (ISO 9241-303:2011, 5.5.4; from memory)."""

ARM_MM = 600.0
"""How far away a screen is read where nobody says: an arm's length."""

FIGURE = 0.7
"""Height of a figure in ems of the face."""


@dataclass(frozen=True, slots=True)
class PanelSize:
    """How large a panel is.

    Attributes
    ----------
    diagonal_mm:
        Of what lights up.
    distance_mm:
        From which it is read.
    """

    diagonal_mm: float
    distance_mm: float = ARM_MM

    def per_mm(self, columns: int, rows: int) -> float:
        """Pixels to a millimetre, where there are so many."""
        return math.hypot(columns, rows) / self.diagonal_mm

    def legible_em(self, columns: int, rows: int) -> float:
        """Em, in pixels, at which a figure is as high as it must be."""
        height_mm = 2.0 * self.distance_mm * math.tan(math.radians(READ_MINUTES / 120.0))
        return height_mm * self.per_mm(columns, rows) / FIGURE
