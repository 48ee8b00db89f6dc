"""The likeliest dark end of a curve, by how the samples of a cap and of dark steps are shared out.

All steps are taken at once, with curve, black, what is sent of less than no light and each step's
noise open. Found by scoring (Rao 1973, 5g) that is damped where a turn makes it no likelier
(Levenberg 1944); its ± is that of all samples' information and of the smoothness that is supposed
(van Trees 1968, 2.4.3). A step's own noise is taken out of the sums as it comes, so that what is to
be solved is as large as what is open of the curve.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from overlays.measure.characterise.dark_end import DarkEnd
from overlays.measure.characterise.shared_out import MOST_SHAPED, Binned, ComplexArray, Luma, masses
from overlays.signal.levels import FloatArray

SKEW, TAILS = 1.0, 0.5
"""Deviations of what is supposed of noise before samples are seen: its third moment in that of
electrons without read noise, and its excess: a normal noise in which three samples of a hundred
have twice the deviation has 0.6 (reckoned)."""

LEAST = 1e-5
"""Share of which nothing is said: so far a sum of waves may lie beside it, and below none."""
WANTED = 5.0
"""Samples that a bin should have to be held against what was seen (Cochran 1954)."""

TURNS = 30
SETTLED = 0.1
"""Of the logarithm of how likely it is: where less is hoped for, it is found. That is half the
square of how far it is off, in deviations of what is said: less than a half of one, in all
directions together."""
FLAT, NEAR = 0.03, 1.0
"""And where a turn brings less than `FLAT` and less than `NEAR` is hoped for: single samples far
out bend what is likely more than their information says, so that not all of it is there."""
DAMPED, LEAST_DAMPED, LESS, FIRST_MORE, MORE = 1e-3, 1e-5, 0.2, 0.03, 8.0
MOST_RESIZED = 0.3
"""Of the logarithm of a deviation that a turn may change."""


@dataclass(frozen=True, slots=True, eq=False)
class EndFound:
    """A dark end.

    Attributes
    ----------
    at, covariance:
        (p,) what is open of it, as `DarkEnd` has it, and how sure that is.
    noise:
        (steps, 3) as `masses` takes it.
    misfit:
        Chi squared of the samples by bins, over its degrees of freedom.
    strain:
        How much it bends (`DarkEnd.strain`).
    """

    at: FloatArray
    covariance: FloatArray
    noise: FloatArray
    misfit: float
    strain: float


@dataclass(frozen=True, slots=True, eq=False)
class _Tried:
    """What is open of the curve and of noise, what follows from it as `Luma` has it, and its cost.

    Shares of samples are as they come out of the sum of waves.
    """

    at: FloatArray
    noise: FloatArray
    cells: FloatArray
    by_noise: Sequence[FloatArray]
    slopes: FloatArray
    shares: FloatArray
    waves: list[FloatArray]
    parts: list[ComplexArray]
    cost: float


@dataclass(frozen=True, slots=True, eq=False)
class _Sums:
    """Information and score of what is open of a curve, and what gives each step's noise."""

    information: FloatArray
    score: FloatArray
    across: FloatArray
    own: FloatArray
    own_score: FloatArray


class EndSearch:
    """The search for it.

    Parameters
    ----------
    dark, light, bins:
        Cells, (steps,) light of each step, the cap first, and samples.
    weights:
        Of channels that have noise each for itself; (1,) where they share it.
    at, sizes:
        (p,) where it begins, and (steps,) deviations of noise, in light.

    Examples
    --------
    >>> from overlays.measure.characterise.dark_end import dark_end
    >>> from overlays.measure.characterise.shared_out import binned
    >>> from overlays.measure.feedcheck.readings import Tally
    >>> light, noise = np.array([0.0, 0.002, 0.004, 0.008]), np.random.default_rng(1)
    >>> lit = light[:, None] + 0.001 * noise.normal(size=(4, 2000))
    >>> codes = np.rint(64.0 + 4000.0 * lit).astype(int)
    >>> counts = [np.bincount(each - each.min()).tolist() for each in codes]
    >>> first = codes.min(axis=1).tolist()
    >>> tallies = [Tally(n, tuple(c), 2000.0) for n, c in zip(first, counts, strict=True)]
    >>> bins = binned(tallies, step=1, lowest=4, width=3)
    >>> dark = dark_end(noise=0.001, top=0.015)
    >>> at = dark.start(np.log2(3500.0 * 0.18 * 2.0**dark.nodes), black=64.0)
    >>> found = EndSearch(dark, light, bins, np.ones(1), at, np.full(4, 0.001)).found()
    >>> level, _ = dark.codes(found.at, np.log2(light[1:] / 0.18))
    >>> bool(np.abs(level - 64.0 - 4000.0 * light[1:]).max() < 0.4), found.misfit < 1.5
    (True, True)
    """

    def __init__(
        self,
        dark: DarkEnd,
        light: FloatArray,
        bins: Binned,
        weights: FloatArray,
        at: FloatArray,
        sizes: FloatArray,
    ) -> None:
        """What does not change from turn to turn."""
        self._dark, self._light, self._bins = dark, light, bins
        self._luma = Luma(bins, weights)
        self._first, self._held = at, dark.held()
        ratio = sizes / np.maximum(light, sizes)
        self._own_held = np.stack(
            [np.zeros(len(light)), 1.0 / (SKEW * ratio) ** 2, np.full(len(light), TAILS**-2.0)], 1
        )
        self._seen = bins.counts * bins.worth[:, None]
        self._size = self._seen.sum(axis=1, keepdims=True)
        self._noise = np.stack([np.log(sizes), np.zeros(len(light)), np.zeros(len(light))], 1)

    def found(self) -> EndFound | None:
        """The likeliest.

        Returns
        -------
        EndFound | None
            None where the search does not settle.
        """
        damp, best = DAMPED, self._tried(self._first, self._noise)
        sums = self._sums(best)
        for _ in range(TURNS):
            at, noise, hoped = self._moved(best, sums, damp)
            if hoped < SETTLED:
                return self._as_found(best, sums)
            tried = self._tried(at, noise)
            if not np.isfinite(tried.cost) or tried.cost > best.cost:
                damp = max(MORE * damp, FIRST_MORE)
                continue
            is_flat = best.cost - tried.cost < FLAT and hoped < NEAR
            best, damp = tried, max(damp * LESS, LEAST_DAMPED)
            sums = self._sums(best)
            if is_flat:
                return self._as_found(best, sums)
        return None

    def _as_found(self, best: _Tried, sums: _Sums) -> EndFound:
        covariance = np.asarray(np.linalg.inv(self._without_noise(sums, 0.0)[0]))
        strain = self._dark.strain(best.at)
        return EndFound(best.at, covariance, best.noise, self._misfit(best), strain)

    def _first_kept(self, at: FloatArray) -> FloatArray:
        """What is supposed: of parts as they begin, of levels nothing but that they bend little."""
        supposed = np.zeros(len(at))
        supposed[self._dark.black + 1 :] = self._first[self._dark.black + 1 :]
        return supposed

    def _tried(self, at: FloatArray, noise: FloatArray) -> _Tried:
        with np.errstate(over="ignore", invalid="ignore"):
            cells, by_noise = masses(self._dark.edges, self._light, noise)
            above, slopes = self._dark.above(at)
            plain, waves, parts = self._luma.shares(above, float(at[self._dark.black]), cells)
            cost = self._cost(at, noise, _some(plain)[0])
        return _Tried(at, noise, cells, by_noise, slopes, plain, waves, parts, cost)

    def _cost(self, at: FloatArray, noise: FloatArray, shares: FloatArray) -> float:
        """Less the logarithm of how likely it is, that of the samples' own shares taken out."""
        own = np.maximum(self._seen, LEAST) / self._size
        away = at - self._first_kept(at)
        likely = float(np.sum(self._seen * np.log(shares / own) - self._size * shares))
        held = float(away @ self._held @ away) + float(np.sum(self._own_held * noise**2))
        return 0.5 * held - likely

    def _sums(self, tried: _Tried) -> _Sums:
        at, noise, black = tried.at, tried.noise, self._dark.black
        given = tried.waves, tried.parts, tried.cells, tried.slopes, tried.by_noise
        curve, own = self._luma.moved(*given, black)
        shares, part = _some(tried.shares)
        wanted = self._size * part**2 / shares
        score = (self._seen / shares - self._size) * part
        weighed = own * wanted[:, None, :]
        own_held = np.stack([np.diag(each) for each in self._own_held])
        flat = curve.transpose(1, 0, 2).reshape(self._dark.count, -1)
        away = at - self._first_kept(at)
        return _Sums(
            (flat * wanted.ravel()) @ flat.T + self._held,
            flat @ score.ravel() - self._held @ away,
            np.einsum("jpb,jqb->jpq", curve, weighed),
            np.einsum("jpb,jqb->jpq", own, weighed) + own_held,
            np.einsum("jqb,jb->jq", own, score) - self._own_held * noise,
        )

    @staticmethod
    def _without_noise(sums: _Sums, damp: float) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Information and score that steps' own noise does not explain, and its inverse."""
        diagonal = np.einsum("jqq->jq", sums.own)[:, :, None] * np.eye(sums.own.shape[1])
        own = np.linalg.inv(sums.own + damp * diagonal)
        across = np.einsum("jpq,jqr->jpr", sums.across, own)
        information = sums.information - np.einsum("jpr,jqr->pq", across, sums.across)
        score = sums.score - np.einsum("jpr,jr->p", across, sums.own_score)
        return information, score, own

    def _moved(
        self, best: _Tried, sums: _Sums, damp: float
    ) -> tuple[FloatArray, FloatArray, float]:
        """What is open after a turn, and what the curve's part of it is hoped to bring undamped."""
        information, score, own = self._without_noise(sums, damp)
        hoped = 0.5 * float(score @ np.linalg.solve(information, score))
        move = np.linalg.solve(information + damp * np.diag(np.diag(information)), score)
        left = sums.own_score - np.einsum("jpq,p->jq", sums.across, move)
        by = np.einsum("jqr,jr->jq", own, left)
        by[:, 0] = np.clip(by[:, 0], -MOST_RESIZED, MOST_RESIZED)
        turned = best.noise + by
        turned[:, 1:] = np.clip(turned[:, 1:], -MOST_SHAPED, MOST_SHAPED)
        return best.at + move, turned, hoped

    def _misfit(self, best: _Tried) -> float:
        total = self._bins.counts.sum(axis=1, keepdims=True)
        wanted = total * _some(best.shares)[0]
        is_kept = wanted >= WANTED
        off = self._bins.worth[:, None] * (self._bins.counts - wanted) ** 2 / wanted
        free = int(is_kept.sum()) - 4 * len(total)
        return float(off[is_kept].sum()) / max(free, 1)


def _some(shares: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Shares that are none less than some, and how much of a change in shares is one in these."""
    root = np.hypot(shares, LEAST)
    return 0.5 * (shares + root), 0.5 * (1.0 + shares / root)
