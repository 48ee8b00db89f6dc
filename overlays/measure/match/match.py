"""Match: what separates camera B from camera A on shared pins, and what brings B to A."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from overlays.measure.colour.cielab import bradford
from overlays.measure.colour.locus import light_xy
from overlays.measure.colour.whitepoint import WhitePoint, white_point, xyz_to_uv
from overlays.measure.match.cdl import Cdl, apply_cdl, fit_cdl
from overlays.measure.spot.spot import SPECK_SHARE, SpotReading
from overlays.signal.curves import Curve
from overlays.signal.gamuts import Gamut, xy_to_xyz

FloatArray = npt.NDArray[np.float64]
Three = tuple[float, float, float]

NEUTRAL_STOPS = 0.15
"""A pin is as good for exposure and balance as its ± where it is neutral; a coloured one counts
less by this share of how coloured it is, since two cameras need not see colours alike."""

_LN2 = math.log(2.0)


@dataclass(frozen=True, slots=True)
class Pair:
    """One pin on both cameras, B against A.

    Attributes
    ----------
    a, b:
        Its readings.
    rgb_stops:
        log2(B / A) of linear R, G, B; None where the pin is clipped or too dark in either.
    rgb_pm:
        Their 95 % half widths.
    luminance_stops:
        The same of luminance.
    why_not:
        Why the pin does not count, or nothing.
    """

    a: SpotReading
    b: SpotReading
    rgb_stops: Three | None
    rgb_pm: Three | None
    luminance_stops: float | None
    why_not: str = ""


@dataclass(frozen=True, slots=True)
class Match:
    """What brings B to A.

    Attributes
    ----------
    pairs:
        Pin by pin, in the order given.
    exposure_stops, exposure_pm:
        Light to add on B (negative: take off), once its balance is as below.
    r_stops, b_stops, balance_pm:
        Gain to add on B's red and blue against its green.
    dial_to, dial_pm, tint:
        What to dial on B in kelvin, its half width, and thousandths of Duv (to be added, positive
        towards magenta); None where its present dial is unknown.
    remains_stops:
        (pins, 3) log2(B / A) that these moves leave; nan where a pin does not count.
    worst_stops:
        The greatest of them in size; None where no pin counts.
    warnings:
        Plain sentences.
    """

    pairs: tuple[Pair, ...]
    exposure_stops: float | None = None
    exposure_pm: float | None = None
    r_stops: float | None = None
    b_stops: float | None = None
    balance_pm: float | None = None
    dial_to: float | None = None
    dial_pm: float | None = None
    tint: float | None = None
    remains_stops: FloatArray | None = None
    worst_stops: float | None = None
    warnings: tuple[str, ...] = ()


def pair_of(a: SpotReading, b: SpotReading) -> Pair:
    """Compare one pin on two cameras.

    Parameters
    ----------
    a, b:
        Readings of one pin on camera A and on camera B.
    """
    for name, spot in (("A", a), ("B", b)):
        if why := _unfit(spot):
            return Pair(a, b, None, None, None, f"on camera {name} it is {why}")
    stops = [math.log2(two / one) for one, two in zip(a.rgb_linear, b.rgb_linear, strict=True)]
    pms = [math.hypot(_channel_pm(a, channel), _channel_pm(b, channel)) for channel in range(3)]
    return Pair(
        a,
        b,
        (stops[0], stops[1], stops[2]),
        (pms[0], pms[1], pms[2]),
        math.log2(b.luminance / a.luminance),
    )


def _unfit(spot: SpotReading) -> str:
    if max(spot.clipped_rgb) > SPECK_SHARE:
        return "clipped"
    if spot.may_clip:
        return "perhaps clipped by the camera: flat, and nothing is brighter"
    if spot.stops is None or min(spot.rgb_linear) <= 0.0:
        return "too dark"
    if any(_channel_pm(spot, channel) > 0.5 for channel in range(3)):
        return "too dark to compare its channels"
    return ""


def _channel_pm(spot: SpotReading, channel: int) -> float:
    """Half width in stops of one channel's light."""
    return spot.errors.pm(np.eye(3)[channel]) / spot.rgb_linear[channel] / _LN2


def compare(
    pairs: Sequence[Pair], gamut: Gamut | None = None, dial: WhitePoint | None = None
) -> Match:
    """What brings camera B to camera A.

    Parameters
    ----------
    pairs:
        From `pair_of`.
    gamut, dial:
        Of camera B: what its R, G, B mean and what its balance is dialled to now; without them no
        kelvin can be advised.

    Notes
    -----
    Each channel's gain is the weighted mean over the pins, coloured pins counting less. Balance is
    what red and blue need against green. A camera's dial is taken to adapt from the
    dialled white to its gamut's by the Bradford transform, as the balance does, at
    equal luminance, which moves green a little: exposure is what is left then, and that shift goes
    into its ±, since other cameras hold green still. Balance comes first.
    """
    good = [pair for pair in pairs if pair.rgb_stops is not None]
    warnings = [f"pin {n}: {p.why_not}" for n, p in enumerate(pairs, 1) if p.why_not]
    if not good:
        return Match(tuple(pairs), warnings=(*warnings, "no pin can be compared"))
    stops = np.array([pair.rgb_stops for pair in good])
    gains, pms = _gains(good, stops)
    match = Match(
        pairs=tuple(pairs),
        exposure_stops=float(gains[1]),
        exposure_pm=float(pms[1]),
        r_stops=float(gains[0] - gains[1]),
        b_stops=float(gains[2] - gains[1]),
        balance_pm=float(math.hypot(pms[1], max(pms[0], pms[2]))),
    )
    remains = np.full((len(pairs), 3), np.nan)
    remains[[pair.rgb_stops is not None for pair in pairs]] = stops + gains
    worst = float(np.nanmax(np.abs(remains)))
    return _dialled(match, gamut, dial, remains, (worst, warnings))


def _gains(good: Sequence[Pair], stops: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Stops to add on each channel of B, (3,), and their half widths."""
    pms = np.array([pair.rgb_pm for pair in good])
    light = np.array([pair.a.rgb_linear for pair in good])
    coloured = np.ptp(np.log2(light), axis=1)
    coloured = coloured - coloured.min()
    weights = 1.0 / (np.maximum(pms, 1e-4) ** 2 + (NEUTRAL_STOPS * coloured[:, None]) ** 2 + 1e-6)
    shares = weights / weights.sum(axis=0)
    return -(shares * stops).sum(axis=0), np.sqrt((shares**2 * pms**2).sum(axis=0))


def _dialled(
    match: Match,
    gamut: Gamut | None,
    dial: WhitePoint | None,
    remains: FloatArray,
    so_far: tuple[float, list[str]],
) -> Match:
    """The match with what to dial, and exposure as it will be after dialling."""
    worst, warnings = so_far
    assert match.r_stops is not None and match.b_stops is not None  # noqa: PT018 - set by compare
    dial_to = dial_pm = tint = None
    exposure, exposure_pm = match.exposure_stops, match.exposure_pm
    if gamut is not None and dial is not None:
        found = _new_dial(gamut, dial, match.r_stops, match.b_stops)
        if found is None:
            warnings.append("no white light would make this balance: match by gains, not by kelvin")
        else:
            white, green_stops = found
            dial_to, tint = white.kelvin, 1000.0 * (white.duv - dial.duv)
            dial_pm = _dial_pm(gamut, dial, match, white)
            exposure = (exposure or 0.0) - green_stops
            exposure_pm = (exposure_pm or 0.0) + abs(green_stops)
    return Match(
        pairs=match.pairs,
        exposure_stops=exposure,
        exposure_pm=exposure_pm,
        r_stops=match.r_stops,
        b_stops=match.b_stops,
        balance_pm=match.balance_pm,
        dial_to=dial_to,
        dial_pm=dial_pm,
        tint=tint,
        remains_stops=remains,
        worst_stops=worst,
        warnings=tuple(warnings),
    )


def _new_dial(
    gamut: Gamut, dial: WhitePoint, r_stops: float, b_stops: float
) -> tuple[WhitePoint, float] | None:
    """The light to be dialled on B, and what dialling it does to green, in stops."""
    # What a neutral reads on B, green being 1, where A's picture is the measure.
    neutral = np.array([2.0**-r_stops, 1.0, 2.0**-b_stops])
    to_light = bradford(gamut.white, light_xy(dial.kelvin, dial.duv))
    xyz = to_light @ gamut.to_xyz @ neutral
    white = white_point(*xyz_to_uv(xyz))
    if white is None or float(xyz[1]) <= 0.0:
        return None
    # A light of luminance 1 shows as neutral / xyz[1] now, and as 1, 1, 1 once it is dialled.
    return white, math.log2(float(xyz[1]))


def _by_gains(gamut: Gamut, dial: WhitePoint, r_stops: float, b_stops: float) -> WhitePoint | None:
    """The same for a camera whose balance is gains on its R, G, B."""
    before = gamut.from_xyz @ xy_to_xyz(light_xy(dial.kelvin, dial.duv))
    after = before * np.array([2.0**-r_stops, 1.0, 2.0**-b_stops])
    return white_point(*xyz_to_uv(gamut.to_xyz @ after))


def _dial_pm(gamut: Gamut, dial: WhitePoint, match: Match, found: WhitePoint) -> float:
    """Half width of the kelvin: from noise, and from what the two rules differ by."""
    r, b, pm = match.r_stops or 0.0, match.b_stops or 0.0, match.balance_pm or 0.0
    other = _by_gains(gamut, dial, r, b)
    moved = _new_dial(gamut, dial, r + pm, b - pm)
    rules = 0.0 if other is None else abs(other.kelvin - found.kelvin)
    noise = 0.0 if moved is None else abs(moved[0].kelvin - found.kelvin)
    return rules + noise


@dataclass(frozen=True, slots=True)
class Remainder:
    """What the moves leave, as a CDL on camera B's own signal.

    Attributes
    ----------
    cdl:
        Takes B, once it has been moved, to A.
    left_stops:
        (pins that count, 3) log2(B / A) after moves and CDL.
    """

    cdl: Cdl
    left_stops: FloatArray


def remainder(match: Match, curve_b: Curve) -> Remainder | None:
    """Fit the remainder of a match; None where no pin can be compared.

    The CDL is meant for B's pictures in B's curve, on the curve's own signal 0..1.

    Parameters
    ----------
    match:
        From `compare`.
    curve_b:
        Of camera B.
    """
    if match.remains_stops is None:
        return None
    good = [pair.rgb_stops is not None for pair in match.pairs]
    wanted_light = np.array(
        [p.a.rgb_linear for p, fit in zip(match.pairs, good, strict=True) if fit]
    )
    source = curve_b.encode(wanted_light * 2.0 ** match.remains_stops[good])
    wanted = curve_b.encode(wanted_light)
    near = 0.01
    worth = (
        2.0
        * near
        / np.maximum(
            curve_b.encode(wanted_light * 2.0**near) - curve_b.encode(wanted_light * 2.0**-near),
            1e-5,
        )
    )
    cdl = fit_cdl(source, wanted, np.minimum(worth, 20.0 * worth.min()))
    with np.errstate(divide="ignore", invalid="ignore"):
        left = np.log2(curve_b.decode(apply_cdl(cdl, source)) / wanted_light)
    return Remainder(cdl, np.asarray(left))
