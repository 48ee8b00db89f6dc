"""Whether a chart's colours fit another Y'CbCr matrix than the feed is read with.

Greys say nothing of the matrix: three chips cannot tell, a chart can. Its mean codes are taken
through each matrix, brought to the neutral row and compared with the reference as the chart is.
"""

from collections.abc import Sequence

import numpy as np

from overlays.measure.colour.cielab import ciede2000, xyz_to_lab
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.spot import SpotReading
from overlays.signal.gamuts import D65, FloatArray
from overlays.signal.levels import decoding
from overlays.signal.signal import Components, Matrix, Signal

NEARER = 0.5
"""Share of the mean error that another matrix must leave at most: a camera's own colours are off
under either."""

LEAST_GAIN = 1.0
"""Mean CIEDE2000 that it must be nearer by: about half of what 601 for 709 costs a chart without
errors of its own, 2.2 (`tests/overlays/measure/chart/test_matrix_doubt.py` measures it)."""


def matrix_doubt(
    spots: Sequence[SpotReading],
    yard: Yardstick,
    expected: FloatArray,
    lab: FloatArray,
    to_d65: FloatArray,
    rows: Sequence[int],
) -> str:
    """That another matrix fits a chart much better, in one sentence; empty where none does.

    Parameters
    ----------
    spots:
        Of the patches, in the chart's reading order.
    yard:
        What they were read with.
    expected, lab:
        (patches, 3) linear R, G, B, and L*, a*, b*, of the reference.
    to_d65:
        (3, 3) linear R, G, B to XYZ under D65.
    rows:
        Patches that set the gains; without any there is nothing to compare.

    Returns
    -------
    str
        Without a full stop.

    Examples
    --------
    >>> from overlays.measure.chart.reference import CHART24, gamut_to_d65
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import colour_frame
    >>> from overlays.signal.gamuts import published_gamut
    >>> to_d65, light = (f(published_gamut("BT.709")) for f in (gamut_to_d65, CHART24.linear))
    >>> levels = 100.0 * VIDEO.carried.nominal(np.maximum(light, 0.0))
    >>> frame = colour_frame([levels.tolist()], cell=16, signal=Signal(10, matrix=Matrix.BT601))
    >>> spots = [read_spot(frame, VIDEO, SpotPlace(16 * n + 8, 8, 8)) for n in range(24)]
    >>> matrix_doubt(spots, VIDEO, light, CHART24.lab, to_d65, rows=[20, 21]).split(",")[0]
    'suspected: the matrix is BT.601'
    """
    signal = yard.signal
    kept = np.array([not spot.hides_light for spot in spots])
    if signal.components is Components.RGB or not rows or not kept.any():
        return ""

    def error(matrix: Matrix) -> float:
        back = decoding(
            Signal(signal.bits, signal.range, matrix, signal.components, signal.subsampling)
        )
        codes = np.array([spot.code for spot in spots])
        light = np.asarray(yard.carried.light((codes - back.zero) @ back.matrix.T))
        if light[list(rows)].min() <= 0.0:
            return np.inf
        light = light * np.exp(np.log(expected[list(rows)] / light[list(rows)]).mean(axis=0))
        found = ciede2000(xyz_to_lab(light @ to_d65.T, D65), lab)
        return float(found[kept].mean())

    now = error(signal.matrix)
    best, other = min((error(each), each.value) for each in Matrix if each is not signal.matrix)
    if best > NEARER * now or now - best < LEAST_GAIN:
        return ""
    return (
        f"suspected: the matrix is {other}, by which the chart is off by {best:.1f}, not "
        f"{signal.matrix.value}, by which it is off by {now:.1f}: try --matrix {other}"
    )
