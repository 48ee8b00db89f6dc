"""Match: what separates camera B from camera A on shared pins, and what brings B to A."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from overlays.measure.colour.whitepoint import WhitePoint
from overlays.measure.match.dialling import dialling
from overlays.measure.match.greys import GREY_STOPS, alike_sentences, colour_of
from overlays.measure.spot.spot import SpotReading
from overlays.measure.spot.uncertainty import student95
from overlays.signal.gamuts import Gamut
from overlays.wording.reasons import Reason

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
    gain_stops:
        Stops to add on B's R, G and B: exposure and balance in one.
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
    gain_stops: Three | None = None
    remains_stops: FloatArray | None = None
    worst_stops: float | None = None
    warnings: tuple[str, ...] = ()


def pair_of(a: SpotReading, b: SpotReading) -> Pair:
    """Compare one pin on two cameras.

    Parameters
    ----------
    a, b:
        Readings of one pin on camera A and on camera B.

    Returns
    -------
    Pair
        Without stops, and saying why, where one of the two is clipped, too dark or cut off.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> a, b = (read_spot(grey_frame([[n]], 16), LOG, SpotPlace(8, 8, 8)) for n in (420, 496))
    >>> [round(stops, 2) for stops in pair_of(a, b).rgb_stops]
    [1.0, 1.0, 1.0]
    """
    for name, spot in (("A", a), ("B", b)):
        why = _unfit(spot)
        if why is not None:
            return Pair(a, b, None, None, None, f"on camera {name} it {_is(why)} {why.words}")
    stops = [math.log2(two / one) for one, two in zip(a.rgb_linear, b.rgb_linear, strict=True)]
    pms = [math.hypot(_channel_pm(a, channel), _channel_pm(b, channel)) for channel in range(3)]
    return Pair(
        a,
        b,
        (stops[0], stops[1], stops[2]),
        (pms[0], pms[1], pms[2]),
        math.log2(b.luminance / a.luminance),
    )


def _is(why: Reason) -> str:
    return "has" if why is Reason.NO_LIGHT else "is"


def _unfit(spot: SpotReading) -> Reason | None:
    if spot.stops is None or spot.hides_light:
        return spot.unknown
    if spot.may_clip:
        return Reason.PERHAPS_CLIPPED
    if min(spot.rgb_linear) <= 0.0:
        return Reason.TOO_DARK
    if any(_channel_pm(spot, channel) > 0.5 for channel in range(3)):
        return Reason.CHANNELS_TOO_DARK
    return Reason.CUT_OFF if spot.cut_off else None


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

    Returns
    -------
    Match
        Of nothing but the pairs and a warning where none can be compared.

    Notes
    -----
    Each channel's gain is the weighted mean over the pins, coloured pins counting less. Balance is
    what red and blue need against green. A camera's dial is taken to adapt from the
    dialled white to its gamut's by the Bradford transform, as the balance does, at
    equal luminance, which moves green a little: exposure is what is left then, and that shift goes
    into its ±, since other cameras hold green still. Balance comes first.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> a, b = (read_spot(grey_frame([[n]], 16), LOG, SpotPlace(8, 8, 8)) for n in (420, 496))
    >>> found = compare([pair_of(a, b)])
    >>> round(found.exposure_stops, 2), round(found.worst_stops, 2)  # take a stop off B
    (-1.0, 0.0)
    """
    good = [pair for pair in pairs if pair.rgb_stops is not None]
    warnings = [f"pin {n}: {p.why_not}" for n, p in enumerate(pairs, 1) if p.why_not]
    if not good:
        return Match(tuple(pairs), warnings=(*warnings, "no pin can be compared"))
    stops = np.array([pair.rgb_stops for pair in good])
    gains, pms, balance_pm = _gains(good, stops)
    linear = np.array([pair.a.rgb_linear for pair in good])
    warnings += alike_sentences(linear, np.array([pair.a.luminance for pair in good]))
    match = Match(
        pairs=tuple(pairs),
        exposure_stops=float(gains[1]),
        exposure_pm=float(pms[1]),
        r_stops=float(gains[0] - gains[1]),
        b_stops=float(gains[2] - gains[1]),
        balance_pm=balance_pm,
        gain_stops=(float(gains[0]), float(gains[1]), float(gains[2])),
    )
    remains = np.full((len(pairs), 3), np.nan)
    remains[[pair.rgb_stops is not None for pair in pairs]] = stops + gains
    worst = float(np.nanmax(np.abs(remains)))
    return _dialled(match, gamut, dial, remains, (worst, warnings))


def _gains(good: Sequence[Pair], stops: FloatArray) -> tuple[FloatArray, FloatArray, float]:
    """Stops to add on each channel of B, (3,), their half widths, and that of the balance.

    The ± holds the noise of the pins, what pins say otherwise than their mean, and what two cameras
    may see differently of colours: that is no noise, goes the same way in many pins, and adds.
    """
    pms = np.array([pair.rgb_pm for pair in good])
    coloured = colour_of(np.array([pair.a.rgb_linear for pair in good]))
    least = coloured - coloured.min()
    weights = 1.0 / (np.maximum(pms, 1e-4) ** 2 + (NEUTRAL_STOPS * least[:, None]) ** 2 + 1e-6)
    shares = weights / weights.sum(axis=0)
    noise = np.sqrt((shares**2 * pms**2).sum(axis=0))
    seen = (shares * NEUTRAL_STOPS * np.maximum(coloured - GREY_STOPS, 0.0)[:, None]).sum(axis=0)
    among = np.array([_among(stops[:, k], shares[:, k]) for k in range(3)])
    sides = [
        math.hypot(noise[k], noise[1], _among(stops[:, k] - stops[:, 1], shares[:, 1])) + seen[k]
        for k in (0, 2)
    ]
    return -(shares * stops).sum(axis=0), np.hypot(noise, among) + seen, float(max(sides))


def _among(values: FloatArray, shares: FloatArray) -> float:
    """95 % half width of a mean by what its values differ by; 0 of a single one."""
    if len(values) < 2:
        return 0.0
    spread = float(shares @ (values - shares @ values) ** 2)
    degrees = max(1.0 / float(shares @ shares) - 1.0, 1.0)
    return student95(float(len(values) - 1)) * math.sqrt(spread / degrees)


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
        gains, pm = (match.r_stops, match.b_stops), match.balance_pm or 0.0
        found = dialling(gamut, dial, gains, pm)
        if found is None:
            warnings.append("no white light would make this balance: match by gains, not by kelvin")
        elif found.kelvin_pm >= found.white.kelvin:  # so wide, it says nothing
            warnings.append("what to dial cannot be told from these pins: match by gains")
        else:
            dial_to, tint = found.white.kelvin, 1000.0 * (found.white.duv - dial.duv)
            dial_pm = found.kelvin_pm
            exposure = (exposure or 0.0) - found.green_stops
            exposure_pm = (exposure_pm or 0.0) + abs(found.green_stops)
    return replace(
        match,
        exposure_stops=exposure,
        exposure_pm=exposure_pm,
        dial_to=dial_to,
        dial_pm=dial_pm,
        tint=tint,
        remains_stops=remains,
        worst_stops=worst,
        warnings=tuple(warnings),
    )
