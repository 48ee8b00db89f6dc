"""Which steps of a bracket were mis-set: those without which all others lie on a smooth curve.

Each step is held against the polynomial through its nearest neighbours. Where some lie beside that,
every way to explain it by one step, or else by two, is looked for. What only one way explains is
named; what several do, or nearly do, is doubtful together: the tool does not guess between them.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from overlays.signal.levels import FloatArray

FEWEST_STEPS = 5
"""From which on a step can be held against its neighbours."""

OUTLIER_STOPS = 0.12
"""How far a step may lie beside what its four neighbours say: a third of a third of a stop, as
shutters and apertures are off (common practice, no source)."""

END_OUTLIER_STOPS = 0.25
"""The same of the steps at both ends, which have neighbours on one side only."""

SURE = 3.0
"""Half widths of a step besides, twice for it and once for its neighbours."""

OPEN = 2.0
"""Times what its farthest neighbour changes that a step may be off besides: coarse steps leave
a curve open. Without it brackets in whole stops of 17 of 26 published curves had a step that was
called mis-set, with once it 4, with twice none (`test_steps.py`)."""

SAME_VALUE = 1e-4
"""A tenth of a code of 10 bits: neighbours that lie as near tell nothing of what lies between."""

NEARLY = 1.6
"""How far beside their neighbours, in shares of what they may be, the others may lie for a step (or
two) to be a possible explanation still. On brackets of the 26 published curves in whole and third
stops with one step off by a half up, a half down or a third, or two at once (881 in all), an
innocent step was named in 41 where only 1.0 was allowed, in 7 with 1.3, in none with 1.6; with 2.0
nearly twice as many of those in third stops are left doubtful
(`test_misset.py`)."""

LITTLE, MUCH = 0.3, 0.75
"""Shares of how far they lay beside their neighbours before. A step without which no more than the
first is left, where without any other more than the second is, is named however far it was off. In
third stops a step that is 0.2 stop off leaves 0.2 of it at the most, others 0.8 and more; in whole
stops a culprit and its neighbours are nearer to each other than that (`test_misset.py`)."""

MANY = 0.25
"""Share of the steps: of so many in doubt none is left out, since what is left would be chosen for
lying well, and say too little of how far all are off (`test_camera.py`: it covered 0.89 of the
levels where steps were off by up to a sixth of a stop)."""

REACH = 2
"""Steps to either side of one that lies beside its neighbours among which the culprit is looked
for: as many neighbours as it is held against."""

HELD, HELD_AT_END = 4, 3
"""Neighbours that a step is held against, and one of the two at the ends."""

AT_ONCE = 64
"""Ways to leave steps out that are reckoned together, so that memory stays small."""


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """Steps in the order of their stops.

    Attributes
    ----------
    stops:
        (n,) as they were set.
    values, widths:
        (n,) what was read, on the scale of a curve, and the half widths of that.
    """

    stops: FloatArray
    values: FloatArray
    widths: FloatArray

    def without(self, places: frozenset[int]) -> "Laid":
        """All but some.

        Parameters
        ----------
        places:
            Which are left out.

        Returns
        -------
        Laid
            The others, in their order.

        Examples
        --------
        >>> Laid(np.arange(3.0), np.arange(3.0), np.zeros(3)).without(frozenset({1})).stops.tolist()
        [0.0, 2.0]
        """
        kept = [n for n in range(len(self.stops)) if n not in places]
        return Laid(self.stops[kept], self.values[kept], self.widths[kept])


@dataclass(frozen=True, slots=True)
class Suspects:
    """Places of steps that are not believed.

    Attributes
    ----------
    named:
        Mis-set: nothing explains all others without them.
    doubtful:
        Of these at least one was mis-set, and which cannot be told.
    is_scatter:
        Whether they are so many that settings, or light, are off at all steps by a little: then
        those that lie well are no better than the others.

    Examples
    --------
    >>> sorted(Suspects(named=frozenset({4}), doubtful=frozenset({1, 2})).every)
    [1, 2, 4]
    """

    named: frozenset[int] = frozenset()
    doubtful: frozenset[int] = frozenset()
    is_scatter: bool = False

    @property
    def every(self) -> frozenset[int]:
        """All of them."""
        return self.named | self.doubtful


def suspects(steps: Laid) -> Suspects:
    """The steps that were mis-set, and those that may have been.

    Parameters
    ----------
    steps:
        At least `FEWEST_STEPS`, none of them clipped.

    Returns
    -------
    Suspects
        By their places; none of either where all fit.

    Examples
    --------
    >>> stops = np.arange(-4.0, 5.0)
    >>> values = 0.4 + 0.075 * stops  # a pure logarithm
    >>> values[6] += 0.075 * 0.5  # half a stop more than was said
    >>> sorted(suspects(Laid(stops, values, np.full(9, 0.0005))).named)
    [6]
    """
    beside = beyond(steps)
    culprits = np.flatnonzero(beside > 1.0)
    if not culprits.size:
        return Suspects()
    count = len(steps.stops)
    near = sorted({m for n in culprits for m in range(n - REACH, n + REACH + 1) if 0 <= m < count})
    singles = [frozenset({n}) for n in near]
    left = _rests(steps, singles)
    alone = _alone(left, float(beside.max()))
    if alone is not None:
        return Suspects(alone)
    if min(left.values()) > 1.0:
        left |= _rests(steps, [frozenset(pair) for pair in combinations(near, 2)])
    ways = [each for each, rest in left.items() if rest <= NEARLY]
    if min(left.values()) > 1.0:
        # More than two, or another light.
        return Suspects(doubtful=frozenset(near), is_scatter=len(near) > MANY * count)
    core = frozenset.intersection(*ways)
    return Suspects(core, frozenset.union(*ways) - core)


def _alone(left: dict[frozenset[int], float], before: float) -> frozenset[int] | None:
    """The step that explains nearly all of it, where no other explains much; None without one."""
    first, *others = sorted(left, key=lambda each: left[each])
    is_good = left[first] <= min(1.0, LITTLE * before)
    return first if is_good and all(left[each] >= MUCH * before for each in others) else None


def _rests(steps: Laid, ways: Sequence[frozenset[int]]) -> dict[frozenset[int], float]:
    """How far the farthest of the others lies beside its neighbours, in shares of what it may.

    Of ways that leave out as many steps each; without end where too few others are left.
    """
    if len(steps.stops) - len(ways[0]) < FEWEST_STEPS:
        return dict.fromkeys(ways, np.inf)
    out: dict[frozenset[int], float] = {}
    for first in range(0, len(ways), AT_ONCE):
        some = ways[first : first + AT_ONCE]
        others = [steps.without(each) for each in some]
        laid = (np.stack([getattr(each, key) for each in others]) for key in Laid.__slots__)
        out |= zip(some, _beyond(*laid).max(axis=1).tolist(), strict=True)
    return out


def beyond(steps: Laid) -> FloatArray:
    """How far each lies beside its neighbours.

    Parameters
    ----------
    steps:
        At least `FEWEST_STEPS`.

    Returns
    -------
    ndarray
        (n,) float64, in shares of what it may; 0 where that cannot be told.

    Examples
    --------
    >>> stops = np.arange(-4.0, 5.0)
    >>> found = beyond(Laid(stops, 0.4 + 0.075 * stops, np.full(9, 0.0005)))
    >>> bool(found.max() < 1.0)  # all lie in a row
    True
    """
    return _beyond(steps.stops, steps.values, steps.widths)


def off_neighbours(steps: Laid) -> FloatArray:
    """How far each was mis-set, by its neighbours.

    Parameters
    ----------
    steps:
        At least `FEWEST_STEPS`.

    Returns
    -------
    ndarray
        (n,) float64, stops as set less those that the neighbours' curve gives its value; nan where
        that cannot be told.

    Examples
    --------
    >>> stops = np.arange(-4.0, 5.0)
    >>> values = 0.4 + 0.075 * stops  # a pure logarithm
    >>> values[6] += 0.075 * 0.5  # half a stop more than was said
    >>> round(float(off_neighbours(Laid(stops, values, np.full(9, 0.0005)))[6]), 2)
    -0.5
    """
    return _off(steps.stops, steps.values, steps.widths)[0]


def _beyond(stops: FloatArray, values: FloatArray, widths: FloatArray) -> FloatArray:
    """(..., n) as `beyond` has it, of one bracket or of many at once."""
    off, allowed = _off(stops, values, widths)
    return np.asarray(np.where(np.isfinite(off), np.abs(off) / allowed, 0.0))


def _off(
    stops: FloatArray, values: FloatArray, widths: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """(..., n) stops off, and how much may be."""
    rise = np.maximum(np.gradient(stops, axis=-1), 1e-6)
    slope = np.maximum(np.abs(np.gradient(values, axis=-1)) / rise, 1e-9)
    allowed = OUTLIER_STOPS + SURE * widths / slope
    allowed[..., [0, -1]] += END_OUTLIER_STOPS - OUTLIER_STOPS
    out, places = np.zeros(stops.shape), np.arange(stops.shape[-1])
    order = np.argsort(np.abs(places - places[:, None]), axis=1, kind="stable")[:, 1:]
    for held, count in ((places[1:-1], HELD), (places[[0, -1]], HELD_AT_END)):
        near = order[held, :count]
        # Not `values[..., near]`: that may lie in memory so that the sums come out in other bits.
        x, y = np.take(values, near, axis=-1), np.take(stops, near, axis=-1)
        tells = np.diff(np.sort(x)).min(axis=-1) >= SAME_VALUE
        with np.errstate(all="ignore"):  # of those that do not tell
            said = _through(x, y, values[..., held])
            # What leaving the farthest of them out changes is what coarse steps leave open.
            left = OPEN * np.abs(said - _through(x[..., :-1], y[..., :-1], values[..., held]))
        out[..., held] = np.where(tells, stops[..., held] - said, np.nan)
        allowed[..., held] += np.where(tells, left, 0.0)
    return out, allowed


def _through(x: FloatArray, y: FloatArray, at: FloatArray) -> FloatArray:
    """(...) the polynomials through (..., points), each at a place (Lagrange)."""
    own = np.eye(x.shape[-1], dtype=bool)
    apart = np.where(own, 1.0, x[..., :, None] - x[..., None, :])
    parts = np.where(own, 1.0, (at[..., None] - x)[..., None, :])
    each = (parts / apart).prod(axis=-1)
    return np.asarray((y[..., None, :] @ each[..., :, None])[..., 0, 0])
