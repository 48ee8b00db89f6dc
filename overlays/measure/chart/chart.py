"""A reading of a chart with known patches: where each colour is and where it should be."""

from dataclasses import dataclass
from enum import Enum

import numpy as np
import numpy.typing as npt

from overlays.errors import ChartError, ChartPlaceError, ChartShadowError
from overlays.measure.chart.lit import SHADOW_STOPS, UNEVEN_STOPS, ChartEvenness, evenness
from overlays.measure.chart.patch import PatchReading, log_ratio, patch_readings
from overlays.measure.chart.place import Corners, patch_places
from overlays.measure.chart.reference import ChartReference, gamut_to_d65
from overlays.measure.chart.turn import ChartHeld, best_turn, held, settle
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.spot import SpotReading, read_spot
from overlays.signal.frame import Frame
from overlays.signal.gamuts import FloatArray, Gamut

_GAIN_RANGE = (0.06, 0.75)
"""Luminance of the neutrals that set the gains: neither near the clip nor in the flare."""


class Scaling(Enum):
    """How the measured light is brought to the reference's exposure and white."""

    NEUTRALS = "neutrals"
    """R, G and B each by the mean ratio of the neutral row: what is left is the camera's colour."""
    EXPOSURE = "exposure"
    """All three by one factor: an error of the balance stays in every patch."""


@dataclass(frozen=True, slots=True)
class ChartReading:
    """A whole chart.

    Attributes
    ----------
    corners:
        In the chart's own order, from the outer corner of the first patch.
    gains:
        What linear R, G, B were multiplied by before they were compared.
    neutrals:
        Indices into `patches` of the neutral row, lightest first.
    evenness:
        Of the light across the chart.
    """

    reference: ChartReference
    corners: Corners
    held: ChartHeld
    scaling: Scaling
    gains: tuple[float, float, float]
    patches: tuple[PatchReading, ...]
    neutrals: tuple[int, ...]
    evenness: ChartEvenness
    warnings: tuple[str, ...]

    @property
    def mean_de00(self) -> float:
        """Mean CIEDE2000 of all patches that are not clipped."""
        return float(np.mean([patch.de00 for patch in self.patches if patch.de00 is not None]))

    @property
    def worst(self) -> PatchReading:
        """The patch furthest from where it should be; clipped ones are left out."""
        return max(self.patches, key=lambda patch: patch.de00 or 0.0)


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
    corners:
        Outer corners of the four corner patches, in order round the chart but from any of them:
        which way it is held is told from its colours.

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
    """
    _check_inside(frame, corners)
    to_d65, expected = gamut_to_d65(gamut), reference.linear(gamut)
    both = [_spots(frame, yard, reference, corners.turned(n)) for n in (0, 1)]
    along, across = (np.array([spot.rgb_linear for spot in spots]) for spots in both)
    turn = best_turn(reference, expected, along, across)
    settled = settle(reference, corners, turn)
    spots = both[turn.quarters % 2]
    if turn.quarters >= 2:
        spots = spots[::-1]
    measured = np.array([spot.rgb_linear for spot in spots])
    usable = [n for n in reference.neutrals if not spots[n].hides_light]
    gains = _gains(measured, expected, reference, usable, scaling)
    kept = np.array([not spot.hides_light for spot in spots])
    light = _evenness(measured * gains, kept, reference, to_d65)
    return ChartReading(
        reference=reference,
        corners=settled,
        held=held(settled),
        scaling=scaling,
        gains=(float(gains[0]), float(gains[1]), float(gains[2])),
        patches=patch_readings(spots, expected, reference, gains, to_d65),
        neutrals=reference.neutrals,
        evenness=light,
        warnings=_warnings(spots, reference, light, held(settled)),
    )


def _check_inside(frame: Frame, corners: Corners) -> None:
    for column, row in corners.points:
        if not (0.0 <= column <= frame.columns and 0.0 <= row <= frame.rows):
            raise ChartPlaceError(
                f"the chart's corner at {column:.0f},{row:.0f} lies outside the "
                f"{frame.columns}x{frame.rows} picture: the chart is cut off by the frame, so move "
                "it or the camera until all of it is seen"
            )


def _spots(
    frame: Frame, yard: Yardstick, reference: ChartReference, corners: Corners
) -> list[SpotReading]:
    return [read_spot(frame, yard, place) for place in patch_places(reference, corners)]


def _gains(
    measured: FloatArray,
    expected: FloatArray,
    reference: ChartReference,
    usable: list[int],
    scaling: Scaling,
) -> FloatArray:
    """Factors on linear R, G, B that bring the middle of the neutral row to the reference."""
    low, high = _GAIN_RANGE
    # A chart without a neutral row is scaled by all its patches; `_warnings` says so.
    usable = usable if reference.neutrals else list(range(len(measured)))
    rows = [
        n for n in usable if low <= reference.xyz[n, 1] <= high and float(measured[n].min()) > 0.0
    ]
    if not rows:
        raise ChartError(
            f"no grey of the {reference.name} can be read: they are clipped or black; set the "
            "exposure so that its middle greys lie near mid-grey"
        )
    ratios = np.log(expected[rows] / measured[rows]).mean(axis=0)
    if scaling is Scaling.EXPOSURE:
        ratios = np.full(3, ratios @ np.array([0.2126, 0.7152, 0.0722]))
    return np.asarray(np.exp(ratios), dtype=np.float64)


def _evenness(
    scaled: FloatArray,
    kept: npt.NDArray[np.bool_],
    reference: ChartReference,
    to_d65: FloatArray,
) -> ChartEvenness:
    """Of the light on the patches that are `kept`: clipped ones say nothing."""
    luminance = scaled @ to_d65[1]
    offsets = np.where(kept, log_ratio(luminance, reference.xyz[:, 1]), np.nan)
    light = evenness(offsets, reference.rows, reference.columns)
    worst = max(light.step_stops, light.fall_stops)
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
    if light.fall_stops > UNEVEN_STOPS:
        out.append(
            f"the light falls by {light.fall_stops:.2f} stops across the chart, which makes every "
            "lightness in it doubtful; light it more evenly"
        )
    if way is ChartHeld.ON_ITS_SIDE:
        out.append("the chart lies on its side; it is read all the same")
    return tuple(out)
