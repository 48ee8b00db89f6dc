"""The dark end of a curve with all of it open: levels above black, black, what is sent below.

Noise at the floor spans black, so that a step shows half of a curve at once. What is open is

- the curve above black as a logarithm over stops (`smooth`), at nodes a third of a stop apart, as
  far below the darkest step as noise still tells it from black;
- the code of black;
- what is sent of less than no light, as a part of what is sent of as much light: 1 where the curve
  goes on through black as it came, 0 where it ends there.

It is cut into cells of light, fine about black; within one it counts as even.
"""

from dataclasses import dataclass

import numpy as np

from overlays.measure.characterise.smooth import BENT, KINKS
from overlays.signal.curves import MID_GREY
from overlays.signal.levels import FloatArray

APART = 1.0 / 3.0
"""Stops from node to node."""

LEAST, NEAR = 0.001, 0.1
"""Of the noise of a cap: the finest cell, and the light up to which cells are few."""
LEAST_NODE = 0.02
"""The same at the lowest node."""
FEW, MANY = 20, 18
"""Cells up to `NEAR`, and to each doubling of light beyond."""

FAR = 6.5
"""Deviations of noise that are looked at."""

BELOW = np.arange(0.5, 4.1, 0.5)
"""Light below none, in deviations of the noise of a cap, at which what is sent of it is open."""
ALIKE = 2.0
"""Of the same, over which that part is alike."""
PART = 1.0
"""That part before anything is seen, and by how much it may be another."""


@dataclass(frozen=True, slots=True, eq=False)
class DarkEnd:
    """Cells of light, and what is open of a curve on them.

    Attributes
    ----------
    edges:
        (cells + 1,) light between cells.
    nodes:
        (n,) rising stops at which the curve is open.
    near:
        (cells, n) how much of each node's level a cell has.
    below:
        (cells, parts) the same of what is sent of less than no light; 0 where there is light.
    """

    edges: FloatArray
    nodes: FloatArray
    near: FloatArray
    below: FloatArray

    @property
    def black(self) -> int:
        """Place of the code of black among what is open; before it the levels, behind it parts."""
        return len(self.nodes)

    @property
    def count(self) -> int:
        """Of what is open."""
        return int(self.near.shape[1] + 1 + self.below.shape[1])

    def start(self, levels: FloatArray, black: float) -> FloatArray:
        """What is open, as it is before samples are seen.

        Parameters
        ----------
        levels, black:
            (n,) logarithms to base 2 of codes above black, and its code.

        Returns
        -------
        ndarray
            (count,) logarithms, a code, and parts of 1.

        Examples
        --------
        >>> dark = dark_end(noise=0.0008, top=0.02)
        >>> dark.start(0.0 * dark.nodes, black=64.0)[-9:].tolist()
        [64.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0]
        """
        parts = np.full(self.below.shape[1], PART)
        return np.concatenate([levels, [black], parts])

    def above(self, at: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Codes above black, and how what is open moves them.

        Parameters
        ----------
        at:
            (count,) what is open.

        Returns
        -------
        tuple of ndarray
            (cells,) codes, and (cells, count) codes for each; black itself moves none.

        Examples
        --------
        >>> dark = dark_end(noise=0.0008, top=0.02)
        >>> above, _ = dark.above(dark.start(3.0 + 0.0 * dark.nodes, black=64.0))
        >>> above[[0, -1]].tolist()
        [-8.0, 8.0]
        """
        lift = np.exp2(self.near @ at[: self.black])
        is_below = self.edges[1:] <= 0.0
        sent = np.where(is_below, -lift * (self.below @ at[self.black + 1 :]), lift)
        slopes = np.zeros((len(lift), self.count))
        slopes[:, : self.black] = self.near * (sent * np.log(2.0))[:, None]
        slopes[:, self.black + 1 :] = -self.below * lift[:, None]
        return sent, slopes

    def codes(self, at: FloatArray, stops: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Codes of light without noise, and how what is open moves them.

        Parameters
        ----------
        at, stops:
            (count,) what is open, and (steps,) from mid-grey.

        Returns
        -------
        tuple of ndarray
            (steps,) codes, and (steps, count) codes for each.

        Examples
        --------
        >>> dark = dark_end(noise=0.0008, top=0.02)
        >>> codes, _ = dark.codes(dark.start(3.0 + 0.0 * dark.nodes, 64.0), np.array([-5.0]))
        >>> codes.tolist()
        [72.0]
        """
        near = _hats(self.nodes, stops)
        lift = np.exp2(near @ at[: self.black])
        slopes = np.zeros((len(stops), self.count))
        slopes[:, : self.black] = near * (lift * np.log(2.0))[:, None]
        slopes[:, self.black] = 1.0
        return lift + at[self.black], slopes

    def strain(self, at: FloatArray) -> float:
        """How much it bends, where it is not straight and then a logarithm.

        Parameters
        ----------
        at:
            (count,) what is open.

        Returns
        -------
        float
            Sum of the squares of bends, without a unit: in deviations of `BENT`, the `KINKS`
            sharpest left out.

        Examples
        --------
        >>> dark = dark_end(noise=0.0008, top=0.02)
        >>> levels = np.where(dark.nodes < -6.0, dark.nodes + 6.0, 0.0)  # one kink
        >>> dark.strain(dark.start(levels, black=64.0)) < 0.001
        True
        """
        bends = np.sort((self._bend() @ at[: self.black]) ** 2)
        return float(bends[:-KINKS].sum())

    def _bend(self) -> FloatArray:
        return np.asarray(np.diff(np.eye(len(self.nodes)), 2, axis=0) / APART**2 / BENT)

    def held(self) -> FloatArray:
        """(count, count) information before samples are seen: the curve bends little (`BENT`)."""
        n, bend = len(self.nodes), self._bend()
        out = np.zeros((self.count, self.count))
        out[:n, :n] = bend.T @ bend
        alike = np.exp(-np.abs(BELOW[:, None] - BELOW) / ALIKE)
        out[n + 1 :, n + 1 :] = np.linalg.inv(alike) / PART**2
        return out


def dark_end(noise: float, top: float) -> DarkEnd:
    """The dark end of a curve up to some light.

    Parameters
    ----------
    noise:
        Deviation of that of a cap, in light.
    top:
        Light up to which the noise of the brightest step reaches.

    Returns
    -------
    DarkEnd
        Cells on either side of black.

    Examples
    --------
    >>> dark = dark_end(noise=0.0008, top=0.02)
    >>> straight = dark.start(np.log2(10_000.0 * 0.18 * 2.0**dark.nodes), black=64.0)
    >>> codes, _ = dark.codes(straight, np.array([-7.0, -5.0]))
    >>> codes.round(2).tolist()  # 10 000 codes to the light of 1
    [78.06, 120.25]
    >>> above, _ = dark.above(straight)
    >>> bool(np.allclose(above[:5], 10_000.0 * 0.5 * (dark.edges[:5] + dark.edges[1:6])))
    True
    """
    sides = (_side(noise, FAR * noise * 1.5)[:0:-1] * -1.0, _side(noise, top))
    edges = np.concatenate(sides)
    light = 0.5 * (edges[1:] + edges[:-1])
    stops = np.log2(np.abs(light) / MID_GREY)
    low, high = np.log2(np.array([LEAST_NODE * noise, top]) / MID_GREY)
    nodes = np.arange(low, high + APART, APART)
    below = np.stack([np.interp(-light / noise, BELOW, each) for each in np.eye(len(BELOW))], 1)
    below[light > 0.0] = 0.0
    return DarkEnd(edges, nodes, _hats(nodes, stops), below)


def _side(noise: float, to: float) -> FloatArray:
    """Edges of cells from black on."""
    fine = np.geomspace(LEAST * noise, NEAR * noise, FEW)[:-1]
    count = max(int(np.ceil(np.log2(to / (NEAR * noise)) * MANY)), 2)
    return np.concatenate([[0.0], fine, np.geomspace(NEAR * noise, to, count)])


def _hats(nodes: FloatArray, stops: FloatArray) -> FloatArray:
    """(stops, nodes) straight from node to node, and on beyond the last ones."""
    place = np.clip(np.searchsorted(nodes, stops) - 1, 0, len(nodes) - 2)
    part = (stops - nodes[place]) / APART
    out, rows = np.zeros((len(stops), len(nodes))), np.arange(len(stops))
    out[rows, place] = 1.0 - part
    out[rows, place + 1] += part
    return out
