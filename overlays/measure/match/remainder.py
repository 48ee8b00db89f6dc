"""What a match leaves, or the whole difference, as a CDL on camera B's own signal."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from overlays.measure.match.cdl import Cdl, FloatArray, apply_cdl, fit_cdl
from overlays.measure.match.greys import GREY_STOPS, colour_of
from overlays.measure.match.match import Match
from overlays.signal.curves import MID_GREY, Curve

_GREYS_STOPS = (-5.0, -3.0, -1.0, 1.0)
"""Where greys are held that no pin says anything of."""
_HELD = 0.5
"""Weight of such a grey against a pin."""
_LIFT = 0.002
"""Signal by which black may be moved up: half a code of 8 bits."""
_BLACK_HELD = (1.0, 10.0, 100.0)
"""Weights of a black that is held, tried one after the other until it stays."""
_RAMP_STOPS = 0.5
"""Step of the greys that fits are compared on."""


@dataclass(frozen=True, slots=True, eq=False)
class Remainder:
    """A CDL from camera B's signal to camera A's.

    Attributes
    ----------
    cdl:
        For B once it has been moved as the match says, or for B as it is.
    left_stops:
        (pins that count, 3) log2(B / A) after moves and CDL, at the pins it was fitted to.
    elsewhere_stops:
        How far off it may be where no pin lies, from the darkest to the lightest: the most that is
        left at a pin when that pin is left out of the fit, or that such a fit moves a grey against
        the whole one, and the half width of the balance; None of a single pin, of which that cannot
        be said.
    span_stops:
        Darkest and lightest pin, from mid-grey; beyond them nothing is known of what it leaves: a
        lift or a gamma of camera B shows in dark greys, and in coloured pins it does not.
    """

    cdl: Cdl
    left_stops: FloatArray
    elsewhere_stops: float | None = None
    span_stops: tuple[float, float] = (0.0, 0.0)


def remainder(match: Match, curve_b: Curve) -> Remainder | None:
    """What the moves of a match leave; None where no pin can be compared.

    Parameters
    ----------
    match:
        From `compare`.
    curve_b:
        Of camera B: the CDL is meant for its pictures, on the curve's own signal 0..1.

    Returns
    -------
    Remainder | None
        Greys that no pin lies on stay as the moves leave them, and black is not lifted.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.match.match import compare, pair_of
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> a, b = (read_spot(grey_frame([[n]], 16), LOG, SpotPlace(8, 8, 8)) for n in (420, 496))
    >>> remainder(compare([pair_of(a, b)]), LOG.carried.curve).cdl.is_nothing  # a move does it all
    True
    """
    return _fitted(match, curve_b, np.zeros(3)) if match.remains_stops is not None else None


def whole_difference(match: Match, curve_b: Curve) -> Remainder | None:
    """All that separates B from A, for footage that was shot already; None as above.

    Parameters
    ----------
    match, curve_b:
        As for `remainder`.

    Returns
    -------
    Remainder | None
        Greys that no pin lies on are moved by the gains of the match.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.match.match import compare, pair_of
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> a, b = (read_spot(grey_frame([[n]], 16), LOG, SpotPlace(8, 8, 8)) for n in (420, 496))
    >>> whole = whole_difference(compare([pair_of(a, b)]), LOG.carried.curve)
    >>> bool(np.abs(whole.left_stops).max() < 0.05)
    True
    """
    if match.remains_stops is None or match.gain_stops is None:
        return None
    return _fitted(match, curve_b, np.array(match.gain_stops))


def _fitted(match: Match, curve: Curve, gains: FloatArray) -> Remainder:
    """The CDL that does `gains`, (3,) stops to add, and what remains after them."""
    assert match.remains_stops is not None  # asked by the callers
    good = [pair.rgb_stops is not None for pair in match.pairs]
    light = np.array([p.a.rgb_linear for p, fit in zip(match.pairs, good, strict=True) if fit])
    seen = light * 2.0 ** (match.remains_stops[good] - gains)
    every = list(range(len(light)))
    cdl = _fit(light, seen, curve, gains)
    left = _left(cdl, light, seen, curve)
    stops = np.log2(light.mean(axis=1) / MID_GREY)
    span = (float(stops.min()), float(stops.max()))
    elsewhere: float | None = None
    if len(light) > 1:
        elsewhere = float(np.abs(left).max())
        ramp = MID_GREY * 2.0 ** np.arange(span[0], span[1] + _RAMP_STOPS, _RAMP_STOPS)
        greys = ramp[:, None] * 2.0**-gains
        as_whole = _graded(cdl, greys, curve)
        for out in every:
            kept = [n for n in every if n != out]
            other = _fit(light[kept], seen[kept], curve, gains)
            alone = _left(other, light[out : out + 1], seen[out : out + 1], curve)
            moved = np.log2(_graded(other, greys, curve) / as_whole)
            elsewhere = max(elsewhere, float(np.abs(alone).max()), float(np.abs(moved).max()))
        elsewhere += match.balance_pm or 0.0
    return Remainder(cdl, left, elsewhere, span)


def _graded(cdl: Cdl, light: FloatArray, curve: Curve) -> FloatArray:
    """Light after a CDL on its signal, kept above nothing."""
    return np.maximum(curve.decode(apply_cdl(cdl, curve.encode(light))), 1e-6)


def _left(cdl: Cdl, light: FloatArray, seen: FloatArray, curve: Curve) -> FloatArray:
    return np.asarray(np.log2(_graded(cdl, seen, curve) / light), dtype=np.float64)


def _worth(light: FloatArray, curve: Curve) -> FloatArray:
    """What a unit of signal is worth in stops at some light, held to 20 times the least."""
    near = 0.01
    step = curve.encode(light * 2.0**near) - curve.encode(light * 2.0**-near)
    worth = 2.0 * near / np.maximum(step, 1e-5)
    return np.asarray(np.minimum(worth, 20.0 * worth.min()), dtype=np.float64)


def _fit(light: FloatArray, seen: FloatArray, curve: Curve, gains: FloatArray) -> Cdl:
    """The CDL from `seen` to `light`, (pins, 3) linear, with greys and black held where need be."""
    source, wanted, worth = curve.encode(seen), curve.encode(light), _worth(light, curve)
    greys = colour_of(light) < GREY_STOPS
    levels = np.log2(light[greys].mean(axis=1)) if greys.any() else np.zeros(0)
    if levels.size == 0 or float(np.ptp(levels)) < 1.0:
        held = MID_GREY * 2.0 ** np.array(_GREYS_STOPS)[:, None] * np.ones(3)
        source, wanted, worth = _joined(
            (source, wanted, worth),
            (curve.encode(held * 2.0**-gains), curve.encode(held), _HELD * _worth(held, curve)),
        )
    cdl = fit_cdl(source, wanted, worth)
    # Black is moved up only where greys, and no colours, ask for it.
    of_greys = Cdl()
    if int(greys.sum()) > 1:
        own = slice(len(light))
        of_greys = fit_cdl(source[own][greys], wanted[own][greys], worth[own][greys])
    black = curve.encode(np.zeros((1, 3)))
    allowed = np.maximum(apply_cdl(of_greys, black) - black, 0.0) + _LIFT
    for weight in _BLACK_HELD:
        if (apply_cdl(cdl, black) - black <= allowed).all():
            break
        held_black = (black, black, np.full((1, 3), weight * float(worth.max())))
        cdl = fit_cdl(*_joined((source, wanted, worth), held_black))
    return cdl


def _joined(
    one: Sequence[FloatArray], two: Sequence[FloatArray]
) -> tuple[FloatArray, FloatArray, FloatArray]:
    a, b, c = (np.concatenate([x, y]) for x, y in zip(one, two, strict=True))
    return a, b, c
