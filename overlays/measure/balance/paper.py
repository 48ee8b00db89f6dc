"""What a reading is off by where the card is paper and not neutral."""

from dataclasses import dataclass

import numpy as np

from overlays.measure.colour.cielab import bradford, lab_to_xyz
from overlays.measure.colour.locus import light_xy
from overlays.measure.colour.whitepoint import WhitePoint, white_point, xyz_to_uv
from overlays.signal.gamuts import D50

BRIGHT_WHITE_LAB = (93.5, 2.5, -10.0)
"""L*, a*, b* of strongly brightened uncoated paper under D50 with its ultraviolet, as printers and
copiers take it (substrate 5 of ISO 12647-2:2013, from memory). A lamp without ultraviolet does not
make the brightener glow: then it is less blue than that."""
CREAM_LAB = (88.0, 1.0, 14.0)
"""The same of cream writing paper (from memory, no source: sorts differ widely)."""


@dataclass(frozen=True, slots=True)
class PaperDoubt:
    """How far a reading is off the light where the card was paper; 0 for a neutral card.

    Attributes
    ----------
    cream_kelvin, cream_tint:
        By cream paper: colour temperature read too high (below 0: too low), in kelvin, and tint
        too green (below 0: too magenta), in thousandths of Duv.
    bright_kelvin, bright_tint:
        The same by bright white paper.
    """

    cream_kelvin: float
    cream_tint: float
    bright_kelvin: float
    bright_tint: float


def paper_doubt(light: WhitePoint) -> PaperDoubt | None:
    """What paper would make of a light; None where that is no white any more.

    Parameters
    ----------
    light:
        About as it was read: the doubt changes little over its own size.

    Returns
    -------
    PaperDoubt | None
        The paper's colour under D50 is taken to the light by the Bradford transform.

    Examples
    --------
    >>> doubt = paper_doubt(WhitePoint(5600.0, 0.0))
    >>> round(doubt.cream_kelvin, -1), round(doubt.bright_kelvin, -1)
    (-940.0, 730.0)
    """
    cream, bright = (_read(light, lab) for lab in (CREAM_LAB, BRIGHT_WHITE_LAB))
    if cream is None or bright is None:
        return None
    return PaperDoubt(
        cream.kelvin - light.kelvin,
        1000.0 * (cream.duv - light.duv),
        bright.kelvin - light.kelvin,
        1000.0 * (bright.duv - light.duv),
    )


def _read(light: WhitePoint, lab: tuple[float, float, float]) -> WhitePoint | None:
    """The light as a reading off a paper would say it."""
    white = light_xy(light.kelvin, light.duv)
    return white_point(*xyz_to_uv(bradford(D50, white) @ lab_to_xyz(np.array(lab), D50)))
