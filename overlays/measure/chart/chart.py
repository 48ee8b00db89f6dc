"""A reading of a chart with known patches: where each colour is and where it should be."""

import numpy as np
import numpy.typing as npt

from overlays.errors import ChartError, ChartNotFoundError, ChartPlaceError, ChartShadowError
from overlays.measure.chart.chart_patch import ChartScale, log_ratio, patch_readings
from overlays.measure.chart.chart_reading import ChartReading, Scaling
from overlays.measure.chart.editions import chosen_edition
from overlays.measure.chart.lit import (
    SHADOW_STOPS,
    UNEVEN_STOPS,
    WRONG_CURVE_STOPS,
    ChartEvenness,
    evenness,
)
from overlays.measure.chart.matrix_doubt import matrix_doubt
from overlays.measure.chart.odd import left_by_matrix, odd_patches
from overlays.measure.chart.place import Corners, patch_places
from overlays.measure.chart.reference import ChartReference, gamut_to_d65
from overlays.measure.chart.turn import ChartHeld, best_turn, held, settle
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.spot import SpotReading, read_spot
from overlays.sharing.stepwise import Steps, whole
from overlays.signal.frame import Frame
from overlays.signal.gamuts import FloatArray, Gamut
from overlays.wording.reasons import Reason

PATCHES_A_STEP = 6
_GAIN_RANGE = (0.06, 0.75)
"""Luminance of the neutrals that set the gains: neither near the clip nor in the flare."""


def read_chart(
    frame: Frame,
    yard: Yardstick,
    gamut: Gamut,
    reference: ChartReference,
    corners: Corners,
    scaling: Scaling = Scaling.NEUTRALS,
) -> ChartReading:
    """Read a chart within four corners.

    Each patch is read as a spot on the middle of it: mean linear light, not mean code. The light is
    scaled (`Scaling`), goes through the gamut to XYZ, by the Bradford transform to D65 where the
    gamut's white is another, and to L*, a*, b* under D65; the reference likewise from its own
    white.

    Parameters
    ----------
    frame, yard:
        Native codes, and what they are measured with.
    gamut:
        What linear R, G, B stand for.
    reference:
        The chart that it should be.
    corners:
        Outer corners of the four corner patches, in order round the chart but from any of them:
        which way it is held is told from its colours.
    scaling:
        To which exposure and white.

    Returns
    -------
    ChartReading
        Patches in the order of the chart's own edition, ΔE by CIEDE2000.

    Raises
    ------
    ChartPlaceError
        The corners lie outside the picture, or the patches are too small.
    ChartNotFoundError
        What is there does not look like the chart.
    ChartTurnedError
        It is upside down or mirrored.
    ChartShadowError
        A shadow lies across it.

    Examples
    --------
    >>> from overlays.measure.chart.reference import CHART24
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import colour_frame
    >>> from overlays.signal.gamuts import published_gamut
    >>> gamut = published_gamut("BT.709")
    >>> levels = VIDEO.carried.nominal(np.maximum(CHART24.linear(gamut), 0.0)).reshape(4, 6, 3)
    >>> frame = colour_frame((100.0 * levels).tolist(), cell=16)
    >>> corners = Corners(((0.0, 0.0), (96.0, 0.0), (96.0, 64.0), (0.0, 64.0)))
    >>> chart = read_chart(frame, VIDEO, gamut, CHART24, corners)
    >>> chart.mean_de00 < 2.0, chart.held.value, chart.read_of  # cyan lies beyond BT.709
    (True, 'upright', None)
    """
    return whole(read_chart_in_steps(frame, yard, gamut, reference, corners, scaling))


def read_chart_in_steps(
    frame: Frame,
    yard: Yardstick,
    gamut: Gamut,
    reference: ChartReference,
    corners: Corners,
    scaling: Scaling = Scaling.NEUTRALS,
) -> Steps[ChartReading]:
    """The same in steps of a few patches.

    Parameters
    ----------
    frame, yard, gamut, reference, corners, scaling:
        As of `read_chart`; the frame must stay as it is until the last step.

    Returns
    -------
    Steps[ChartReading]
        Which return, or raise, what `read_chart` does.

    Examples
    --------
    >>> from overlays.measure.chart.reference import CHART24
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> from overlays.signal.gamuts import published_gamut
    >>> frame, gamut = grey_frame([[420]], cell=96), published_gamut("BT.709")
    >>> corners = Corners(((0.0, 0.0), (96.0, 0.0), (96.0, 64.0), (0.0, 64.0)))
    >>> steps = read_chart_in_steps(frame, VIDEO, gamut, CHART24, corners)
    >>> next(steps), next(steps)  # that it is no chart is known once all patches are read
    (None, None)
    """
    _check_inside(frame, corners)
    to_d65, expected = gamut_to_d65(gamut), reference.linear(gamut)
    both = []
    for n in (0, 1):
        both.append((yield from _spots(frame, yard, reference, corners.turned(n))))
    along, across = (np.array([spot.rgb_linear for spot in spots]) for spots in both)
    turn = best_turn(reference, expected, along, across)
    settled = settle(reference, corners, turn)
    spots = both[turn.quarters % 2]
    if turn.quarters >= 2:
        spots = spots[::-1]
    measured = np.array([spot.rgb_linear for spot in spots])
    kept = np.array([not spot.hides_light for spot in spots])
    edition = chosen_edition(
        reference,
        lambda each: float(
            left_by_matrix(measured, kept, each.linear(gamut), each, to_d65)[1].mean()
        ),
    )
    reference, expected = edition.reference, edition.reference.linear(gamut)
    usable = [n for n in reference.neutrals if not spots[n].hides_light]
    scale = _gains(measured, expected, reference, usable, scaling)
    gains = scale.gains
    light = _evenness(measured * gains, kept, reference, (to_d65, expected))
    doubt = matrix_doubt(spots, yard, expected, reference.lab, to_d65, scale.rows)
    odd = odd_patches(measured * gains, kept, expected, reference, to_d65)
    _check_odd(odd, reference)
    return ChartReading(
        reference=reference,
        corners=settled,
        held=held(settled),
        scaling=scaling,
        gains=(float(gains[0]), float(gains[1]), float(gains[2])),
        patches=patch_readings(spots, expected, reference, scale, to_d65),
        neutrals=reference.neutrals,
        evenness=light,
        warnings=(
            *_warnings(spots, reference, light, held(settled)),
            *([doubt] if doubt else []),
            *_of_odd(odd, reference),
            *([edition.words] if edition.words else []),
        ),
    )


def _check_inside(frame: Frame, corners: Corners) -> None:
    for column, row in corners.points:
        if not (0.0 <= column <= frame.columns and 0.0 <= row <= frame.rows):
            raise ChartPlaceError(
                f"the chart's corner at {column:.0f},{row:.0f} lies outside the "
                f"{frame.columns}x{frame.rows} picture: the chart is cut off by the frame, so move "
                "it or the camera until all of it is seen"
            )


def _check_odd(odd: tuple[int, ...], reference: ChartReference) -> None:
    """Two patches that are others make another chart, or one that something lies on."""
    if len(odd) >= 2:
        *names, last = (reference.names[n] for n in odd)
        raise ChartNotFoundError(
            f"all but {len(odd)} patches are those of the {reference.name}, but "
            f"{', '.join(names)} and {last} are other colours: take away what lies or shines on "
            "them, or give the chart's own file"
        )


def _of_odd(odd: tuple[int, ...], reference: ChartReference) -> list[str]:
    return [
        f"{reference.names[n]} is another colour than the chart has there, while the others agree: "
        "is it dirty, or does something shine on it?"
        for n in odd
    ]


def _spots(
    frame: Frame, yard: Yardstick, reference: ChartReference, corners: Corners
) -> Steps[list[SpotReading]]:
    spots = []
    for n, place in enumerate(patch_places(reference, corners), 1):
        spots.append(read_spot(frame, yard, place))
        if n % PATCHES_A_STEP == 0:
            yield
    return spots


def _gains(
    measured: FloatArray,
    expected: FloatArray,
    reference: ChartReference,
    usable: list[int],
    scaling: Scaling,
) -> ChartScale:
    """Factors on linear R, G, B that bring the middle of the neutral row to the reference."""
    low, high = _GAIN_RANGE
    # A chart without a neutral row is scaled by all its patches; `_warnings` says so.
    usable = usable if reference.neutrals else list(range(len(measured)))
    # What lies beyond the gamut has no share of one of its primaries that could be scaled.
    least = np.minimum(measured, expected).min(axis=1)
    rows = [n for n in usable if low <= reference.xyz[n, 1] <= high and float(least[n]) > 0.0]
    if not rows:
        raise ChartError(
            f"no grey of the {reference.name} can be read: they are clipped or black; set the "
            "exposure so that its middle greys lie near mid-grey"
        )
    ratios = np.log(expected[rows] / measured[rows]).mean(axis=0)
    if scaling is Scaling.EXPOSURE:
        ratios = np.full(3, ratios @ np.array([0.2126, 0.7152, 0.0722]))
    return ChartScale(np.asarray(np.exp(ratios), dtype=np.float64), tuple(rows))


def _evenness(
    scaled: FloatArray,
    kept: npt.NDArray[np.bool_],
    reference: ChartReference,
    known: tuple[FloatArray, FloatArray],
) -> ChartEvenness:
    """Of the light on the patches that are `kept`: clipped ones say nothing."""
    to_d65, expected = known
    luminance = scaled @ to_d65[1]
    offsets = np.where(kept, log_ratio(luminance, reference.xyz[:, 1]), np.nan)
    light = evenness(offsets, reference.rows, reference.columns, expected)
    worst = max(light.step_stops, light.proven_fall)
    if worst > SHADOW_STOPS:
        what = "a shadow lies across" if light.step_stops > SHADOW_STOPS else "the light falls over"
        raise ChartShadowError(
            f"{what} the {reference.name} by {worst:.1f} stops, so its colours cannot be judged; "
            "light it evenly and keep your own shadow off it"
        )
    return light


def _warnings(
    spots: list[SpotReading], reference: ChartReference, light: ChartEvenness, way: ChartHeld
) -> tuple[str, ...]:
    out = []
    if not reference.neutrals:
        out.append("the chart has no neutral patch: its colours are scaled by the mean of them all")
    clipped = [reference.names[n] for n, spot in enumerate(spots) if spot.hides_light]
    if clipped:
        out.append(f"clipped, so their colour is lost: {', '.join(clipped)}")
    doubted = [
        reference.names[n] for n, spot in enumerate(spots) if spot.unknown is Reason.PERHAPS_CLIPPED
    ]
    if doubted:
        out.append(f"{Reason.PERHAPS_CLIPPED.words}, so without ±: {', '.join(doubted)}")
    out += _of_light(light)
    if way is ChartHeld.ON_ITS_SIDE:
        out.append("the chart lies on its side; it is read all the same")
    return tuple(out)


def _of_light(light: ChartEvenness) -> list[str]:
    out = []
    if light.proven_fall > UNEVEN_STOPS:
        how = "across the chart"
        if abs(light.middle_stops) > 0.6 * light.fall_stops:
            ways = ("middle", "edges") if light.middle_stops > 0.0 else ("edges", "middle")
            how = f"from the chart's {ways[0]} to its {ways[1]}"
        out.append(
            f"the light falls by {light.fall_stops:.2f} stops {how}, which makes every lightness "
            "in it doubtful; light it more evenly, or take the lens's shading off"
        )
    if light.tones_stops > WRONG_CURVE_STOPS:
        out.append(
            f"from its lightest to its darkest patch the tones are off by {light.tones_stops:.2f} "
            "stops, as under a wrong curve or with a look on top: check the profile's curve"
        )
    return out
