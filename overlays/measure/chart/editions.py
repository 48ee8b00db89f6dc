"""Makes of the 24-patch chart: its paints were changed, and which a chart has is seen or told."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from overlays.measure.chart.reference import CHART24, ChartReference, xyy_to_d65

# x, y, Y of the patches in reading order under D50: the maker's figures from before and after
# November 2014, as colour-science 0.4.7 carries them in CCS_COLOURCHECKERS.
_BEFORE_2014 = (
    (0.431627, 0.377724, 0.100802),
    (0.419681, 0.374415, 0.349516),
    (0.276132, 0.301660, 0.183576),
    (0.370369, 0.449964, 0.132510),
    (0.299925, 0.285618, 0.230385),
    (0.284842, 0.391182, 0.417800),
    (0.529536, 0.405529, 0.311820),
    (0.230572, 0.210692, 0.112630),
    (0.501210, 0.327298, 0.193758),
    (0.331911, 0.248286, 0.063690),
    (0.398363, 0.500822, 0.444556),
    (0.495693, 0.442727, 0.435713),
    (0.201868, 0.169254, 0.057520),
    (0.325280, 0.503280, 0.231836),
    (0.568601, 0.330299, 0.125654),
    (0.469689, 0.473381, 0.598067),
    (0.415901, 0.268833, 0.200866),
    (0.213162, 0.302336, 0.193014),
    (0.346980, 0.360811, 0.913135),
    (0.344058, 0.358467, 0.589371),
    (0.343225, 0.358175, 0.363230),
    (0.344624, 0.357990, 0.191541),
    (0.340182, 0.354821, 0.088306),
    (0.340609, 0.353789, 0.031054),
)
_SINCE_2014 = (
    (0.437484, 0.378523, 0.098324),
    (0.422249, 0.372494, 0.336202),
    (0.276147, 0.298382, 0.178552),
    (0.373316, 0.451169, 0.134679),
    (0.302891, 0.286287, 0.228718),
    (0.286405, 0.389718, 0.414355),
    (0.528148, 0.405335, 0.312642),
    (0.232386, 0.211204, 0.109109),
    (0.504448, 0.327065, 0.189000),
    (0.333471, 0.250552, 0.062767),
    (0.398893, 0.504149, 0.433176),
    (0.493576, 0.444283, 0.429338),
    (0.205221, 0.168665, 0.055962),
    (0.323038, 0.510418, 0.223344),
    (0.562872, 0.335563, 0.127801),
    (0.467759, 0.476024, 0.599298),
    (0.421311, 0.266925, 0.189511),
    (0.209129, 0.302658, 0.180610),
    (0.348914, 0.364213, 0.880690),
    (0.345584, 0.359881, 0.589971),
    (0.344150, 0.359185, 0.364865),
    (0.345769, 0.359094, 0.190623),
    (0.342648, 0.357584, 0.088172),
    (0.343767, 0.356058, 0.031513),
)
_D50 = (0.34570291, 0.3585386)
"""The white that those figures are given under, in the same place."""

FIRST = replace(CHART24, edition="of 1976")
BEFORE_2014, SINCE_2014 = (
    replace(
        CHART24,
        source=f"the maker's figures, {made}, as held in colour-science 0.4.7",
        xyz=xyy_to_d65(np.array(rows), _D50),
        edition=made,
    )
    for made, rows in (
        ("made before November 2014", _BEFORE_2014),
        ("made since November 2014", _SINCE_2014),
    )
)
EDITIONS = {"1976": FIRST, "before-2014": BEFORE_2014, "since-2014": SINCE_2014}
"""By the words they are asked for with."""
_CLEAR_DE00 = 0.25
"""Mean CIEDE2000 between two fits above which the better one is called clear: the makes are 1.2 to
1.4 apart, and what sets cameras apart once a matrix is allowed moves such a difference by a few
tenths."""


@dataclass(frozen=True, slots=True, eq=False)
class ChosenEdition:
    """The reference that is gone by, and what is to be said of how it was chosen."""

    reference: ChartReference
    words: str = ""


def chosen_edition(
    reference: ChartReference, left: Callable[[ChartReference], float]
) -> ChosenEdition:
    """Which make of a chart fits best; the chart itself where there is one make, or it was told.

    Parameters
    ----------
    reference:
        `CHART24` leaves the make open.
    left:
        Mean CIEDE2000 that a make leaves of what was measured.

    Returns
    -------
    ChosenEdition
        With a sentence where the make was found.

    Examples
    --------
    >>> from overlays.measure.chart.reference import BENCH_CHART
    >>> chosen_edition(BENCH_CHART, lambda _: 0.0).reference.name  # there is one make of it
    'bench chart'
    >>> found = chosen_edition(CHART24, lambda each: 1.0 if "before" in each.edition else 3.0)
    >>> found.words.split(",")[0]
    'taken for the chart made before November 2014'
    """
    if reference is not CHART24:
        return ChosenEdition(reference)
    ranked = sorted((left(each), each.edition, each) for each in EDITIONS.values())
    (best, made, chosen), (other, otherwise, _), *_ = ranked
    sure = "fits best" if other - best > _CLEAR_DE00 else "fits little better than the others"
    return ChosenEdition(
        chosen,
        f"taken for the chart {made}, which {sure}: a matrix leaves {best:.1f} ΔE00 of it and "
        f"{other:.1f} of the one {otherwise}; say --edition where you know it",
    )
