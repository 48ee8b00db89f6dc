"""Balance: how far a neutral card is from neutral, and what to dial or gel."""

import math
from dataclasses import dataclass, replace

import numpy as np

from overlays.measure.balance.balance_check import refusal_of
from overlays.measure.balance.paper import PaperDoubt, paper_doubt
from overlays.measure.colour.card_light import CardLight, kelvin_pm, light_of, light_under
from overlays.measure.colour.filters import Filter, nearest_filter
from overlays.measure.colour.locus import xy_to_uv
from overlays.measure.colour.whitepoint import (
    THREE_STEPS,
    WhitePoint,
    uv_slopes,
    white_point,
    xyz_to_uv,
)
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.spot import SpotPlace, SpotReading, read_spot
from overlays.measure.spot.spot_errors import SpotErrors
from overlays.signal.frame import Frame
from overlays.signal.gamuts import FloatArray, Gamut

FURTHEST_LIGHT_DUV = 0.03
"""A card further off the locus than this is taken for coloured: white lights sold as such stay
within about 0.006 (ANSI C78.377), mixed and ageing ones within a few times that."""

_LN2 = math.log(2.0)
_HALF_TURN = np.arange(8) * np.pi / 8.0
_DIRECTIONS = np.column_stack([np.cos(_HALF_TURN), np.sin(_HALF_TURN)])
"""Close enough that no direction is over 2 % wider than the widest of them."""
WIDER_THAN_TOLERANCE = (
    "the ± of the card's colour is wider than the tolerance: use a larger spot, a brighter card or "
    "a 10-bit feed"
)
_COLOURED = (
    "the card is coloured too strongly to be a neutral under any white light; hold up a white or "
    "grey card, or look for a strongly coloured lamp"
)


@dataclass(frozen=True, slots=True)
class BalanceSettings:
    """What a balance is judged by.

    Attributes
    ----------
    gamut:
        The linear RGB the feed carries.
    dial:
        The light the camera's balance is set to now, or None where nobody said; its Duv is what
        the camera's tint stands for (0 where tint is at its zero).
    tolerance:
        Largest distance from neutral that counts as landed, in CIE 1976 u', v'.
    """

    gamut: Gamut
    dial: WhitePoint | None = None
    tolerance: float = THREE_STEPS


@dataclass(frozen=True, slots=True)
class BalanceReading:
    """What a neutral card says of the balance; every ± is a 95 % half width.

    Attributes
    ----------
    spot:
        The reading of the card itself.
    r_stops, b_stops:
        log2(R/G) and log2(B/G) of linear light; positive is too much red, too much blue.
    chroma_percent:
        Distance from the middle of the chroma trace, 100 % at Cb or Cr of 0.5.
    cct, duv:
        Colour temperature in kelvin and Duv of the light as the camera shows it: the card's
        chromaticity through the gamut, whose white is what the camera takes for neutral.
    off_neutral:
        Distance of that chromaticity from the gamut's white in CIE 1976 u', v'.
    mired_shift:
        What a filter on the light would have to shift it by to suit the present setting,
        1e6/target - 1e6/source (negative is bluer). The source is `dial_to` and the target the
        dial; without a dial they are `cct` and the gamut's white.
    dial_to, dial_to_cameras:
        The colour temperature to dial, in kelvin; None where the present setting is unknown. The
        part of its half width that is no noise but what cameras differ by over such a step.
    tint:
        How much tint to add to the present setting, in thousandths of Duv: positive where the
        light is greener than the setting, so that the camera must be moved towards magenta.
    sheet, sheet_leaves_mired:
        The conversion filter nearest to `mired_shift`, and what it leaves over; None where the
        shift is within its ±.
    in_tolerance:
        Whether `off_neutral` is within the tolerance.
    paper:
        What `dial_to`, or without it `cct`, is off by where the card is paper and not neutral.
    refusal:
        Why there is no reading, one sentence; everything else but the spot is then None.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> spot = read_spot(grey_frame([[502]], cell=32), VIDEO, SpotPlace(16, 16, 16))
    >>> BalanceReading(spot).is_sure, BalanceReading(spot, warnings=(WIDER_THAN_TOLERANCE,)).is_sure
    (True, False)
    """

    spot: SpotReading
    r_stops: float | None = None
    r_stops_pm: float | None = None
    b_stops: float | None = None
    b_stops_pm: float | None = None
    chroma_percent: float | None = None
    chroma_percent_pm: float | None = None
    cct: float | None = None
    cct_pm: float | None = None
    duv: float | None = None
    duv_pm: float | None = None
    off_neutral: float | None = None
    off_neutral_pm: float | None = None
    mired_shift: float | None = None
    mired_shift_pm: float | None = None
    dial_to: float | None = None
    dial_to_pm: float | None = None
    dial_to_cameras: float | None = None
    tint: float | None = None
    tint_pm: float | None = None
    sheet: Filter | None = None
    sheet_leaves_mired: float | None = None
    in_tolerance: bool | None = None
    paper: PaperDoubt | None = None
    refusal: str | None = None
    warnings: tuple[str, ...] = ()

    @property
    def is_sure(self) -> bool:
        """Whether the ± of the distance from neutral is no wider than what counts as landed."""
        return WIDER_THAN_TOLERANCE not in self.warnings


def read_balance(
    frame: Frame, yard: Yardstick, place: SpotPlace, settings: BalanceSettings
) -> BalanceReading:
    """Read the balance off a spot that lies on a neutral card.

    Parameters
    ----------
    frame, yard, place:
        As for `read_spot`; the spot should lie on the card with room around it.
    settings:
        Gamut, present dial and tolerance.

    Returns
    -------
    BalanceReading
        With `refusal` set, and no numbers, where the card is clipped, too dark, unevenly lit or
        coloured too strongly for a light.

    Raises
    ------
    SpotOutsideError
        The spot sticks out of the picture.

    Notes
    -----
    Colour temperature and Duv are those of `white_point` (Ohno 2013), valid from 1000 to 25000 K
    and within 0.05 of the black-body locus. What to dial follows from the light itself: the card's
    XYZ as shown are taken back from the gamut's white to the light the camera is dialled to by the
    Bradford transform (ICC.1:2022 Annex E). A camera is not bound to that rule: what cameras differ
    by goes into the ± of `dial_to` and `tint` (`overlays.measure.colour.card_light`). It grows with
    the step, so that dialling is a first step and the second reading is far surer.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> from overlays.signal.gamuts import published_gamut
    >>> settings = BalanceSettings(published_gamut("BT.709"), dial=WhitePoint(3200.0, 0.0))
    >>> grey = read_balance(grey_frame([[502]], 32), VIDEO, SpotPlace(16, 16, 16), settings)
    >>> round(grey.r_stops, 3), round(grey.dial_to), grey.in_tolerance
    (0.0, 3200, True)
    """
    spot = read_spot(frame, yard, place)
    reading = BalanceReading(spot, refusal=refusal_of(frame, yard, spot), warnings=spot.warnings)
    if reading.refusal is not None:
        return reading
    shown = light_of(spot, settings.gamut.to_xyz)
    light = shown if settings.dial is None else light_under(spot, settings.gamut, settings.dial)
    if light is None or abs(light.point.duv) > FURTHEST_LIGHT_DUV:
        return replace(reading, refusal=_COLOURED)
    reading = _with_offsets(reading, yard)
    reading = _with_distance(reading, settings)
    reading = _with_shown(reading, shown)
    return replace(_with_advice(reading, settings, light), paper=paper_doubt(light.point))


def _with_offsets(reading: BalanceReading, yard: Yardstick) -> BalanceReading:
    spot = reading.spot
    red, green, blue = spot.rgb_linear
    to_red = np.array([1.0 / red, -1.0 / green, 0.0]) / _LN2
    to_blue = np.array([0.0, -1.0 / green, 1.0 / blue]) / _LN2
    chroma, slopes = _chroma(np.array(spot.rgb_linear), yard)
    return replace(
        reading,
        r_stops=math.log2(red / green),
        r_stops_pm=spot.errors.pm(to_red),
        b_stops=math.log2(blue / green),
        b_stops_pm=spot.errors.pm(to_blue),
        chroma_percent=float(np.hypot(*chroma)),
        chroma_percent_pm=_length_pm(spot.errors, chroma, slopes),
    )


def _length_pm(errors: SpotErrors, offset: FloatArray, slopes: FloatArray) -> float:
    """The ± of the length of an offset (2,) whose components have slopes (2, 3) by R, G, B.

    Of an offset that is no longer than that nobody knows where it points: it is the widest ± of all
    directions then, and not that of the direction in which rounding left it.
    """
    long = float(np.hypot(offset[0], offset[1]))
    widest = max(errors.pm(direction @ slopes) for direction in _DIRECTIONS)
    return widest if long <= widest else errors.pm((offset / long) @ slopes)


def _chroma(rgb: FloatArray, yard: Yardstick) -> tuple[FloatArray, FloatArray]:
    """E'Cb and E'Cr of linear R, G, B in percent, (2,), and their slopes by them, (2, 3)."""
    red, _, blue = (float(w) for w in yard.weights)
    nominal = yard.carried.nominal(rgb)
    step = 1e-4 * np.maximum(rgb, 1e-3)
    rise = (yard.carried.nominal(rgb + step) - yard.carried.nominal(rgb - step)) / (2.0 * step)
    # E'Cb = (B' - Y') / (2 - 2 Kb), E'Cr = (R' - Y') / (2 - 2 Kr), ITU-R BT.709-6 item 3.3.
    to_chroma = np.array([-yard.weights, -yard.weights])
    to_chroma[0, 2] += 1.0
    to_chroma[1, 0] += 1.0
    to_chroma /= 2.0 * np.array([[1.0 - blue], [1.0 - red]])
    return 200.0 * to_chroma @ nominal, 200.0 * to_chroma * rise


def _with_distance(reading: BalanceReading, settings: BalanceSettings) -> BalanceReading:
    """Distance from the gamut's white in CIE 1976 u' = u, v' = 1.5 v."""
    spot, to_xyz = reading.spot, settings.gamut.to_xyz
    xyz = to_xyz @ np.array(spot.rgb_linear)
    white = xy_to_uv(*settings.gamut.white)
    off = (np.array(xyz_to_uv(xyz)) - white) * (1.0, 1.5)
    long = float(np.hypot(off[0], off[1]))
    slopes = np.array([[1.0], [1.5]]) * uv_slopes(xyz) @ to_xyz
    wide = _length_pm(spot.errors, off, slopes)
    notes = reading.warnings
    if wide > settings.tolerance:
        notes = (*notes, WIDER_THAN_TOLERANCE)
    return replace(
        reading,
        off_neutral=long,
        off_neutral_pm=wide,
        in_tolerance=long <= settings.tolerance,
        warnings=notes,
    )


def _with_shown(reading: BalanceReading, shown: CardLight | None) -> BalanceReading:
    if shown is None:
        note = (
            "shown so far from neutral, the card has no colour temperature of its own; "
            "what to dial is known all the same"
        )
        return replace(reading, warnings=(*reading.warnings, note))
    return replace(
        reading,
        cct=shown.point.kelvin,
        cct_pm=shown.kelvin_pm(),
        duv=shown.point.duv,
        duv_pm=shown.duv_pm,
    )


def _with_advice(
    reading: BalanceReading, settings: BalanceSettings, light: CardLight
) -> BalanceReading:
    if settings.dial is None:
        neutral = white_point(*xy_to_uv(*settings.gamut.white))
        return reading if neutral is None else _filled(reading, neutral, light)
    reading = replace(
        reading,
        dial_to=light.point.kelvin,
        dial_to_pm=light.kelvin_pm(),
        dial_to_cameras=kelvin_pm(light.point.mired, light.camera_mired),
    )
    return _filled(reading, settings.dial, light)


def _filled(reading: BalanceReading, target: WhitePoint, light: CardLight) -> BalanceReading:
    """Shift, tint and filter of a light against the setting it should suit."""
    shift = target.mired - light.point.mired
    sheet = nearest_filter(shift) if abs(shift) > light.mired_pm else None
    return replace(
        reading,
        mired_shift=shift,
        mired_shift_pm=light.mired_pm,
        tint=1000.0 * (light.point.duv - target.duv),
        tint_pm=1000.0 * light.duv_pm,
        sheet=sheet,
        sheet_leaves_mired=None if sheet is None else shift - sheet.mired,
    )
