"""Two looks on one chart: per hue, how much more saturated and how far turned."""

from dataclasses import dataclass

import numpy as np

from overlays.errors import ChartError
from overlays.measure.chart.chart_reading import ChartReading
from overlays.measure.colour.cielab import chroma, ciede2000, hue_degrees, turn_degrees

HUES = (
    # Where a hue begins, in degrees of h_ab. Our own division into six names, at the middles
    # between the hue angles of the pure R'G'B' colours of BT.709 under D65 (40, 103, 136, 196, 306
    # and 328 degrees, by the arithmetic of BT.709 and CIE 15).
    ("red", 4.0),
    ("yellow", 71.5),
    ("green", 119.5),
    ("cyan", 166.0),
    ("blue", 251.0),
    ("magenta", 317.0),
)


LEAST_CHROMA = 1e-6
"""C*ab of what is grey to the last digit: clipped white, or a picture without colour."""


@dataclass(frozen=True, slots=True)
class PatchChange:
    """One patch under two looks.

    Attributes
    ----------
    hue:
        The reference's hue by name; "neutral" for greys.
    saturation:
        C*ab of the second against the first; None for neutrals.
    turn_deg:
        Hue angle of the second less the first, -180 to 180; None for neutrals.
    lightness:
        L* of the second less the first.
    de00:
        CIEDE2000 between the two.
    """

    name: str
    hue: str
    first_lab: tuple[float, float, float]
    second_lab: tuple[float, float, float]
    saturation: float | None
    turn_deg: float | None
    lightness: float
    de00: float


@dataclass(frozen=True, slots=True)
class HueChange:
    """The mean change of the patches of one hue; the saturation is a geometric mean."""

    hue: str
    patches: int
    saturation: float
    turn_deg: float
    lightness: float


@dataclass(frozen=True, slots=True)
class LooksCompared:
    """A chart under two looks.

    Examples
    --------
    >>> lab = (50.0, 60.0, 40.0)
    >>> patches = [PatchChange("a", "red", lab, lab, 1.0, 0.0, 0.0, de00) for de00 in (1.0, 3.0)]
    >>> LooksCompared(tuple(patches), (), ()).mean_de00
    2.0
    """

    patches: tuple[PatchChange, ...]
    hues: tuple[HueChange, ...]
    warnings: tuple[str, ...]

    @property
    def mean_de00(self) -> float:
        """Mean CIEDE2000 of the patches both hold."""
        return float(np.mean([patch.de00 for patch in self.patches]))


def hue_name(degrees: float) -> str:
    """The name of a hue angle h_ab.

    Parameters
    ----------
    degrees:
        Any angle; a whole turn more or less is the same.

    Returns
    -------
    str
        One of the names in `HUES`.

    Examples
    --------
    >>> hue_name(130.0), hue_name(-10.0)
    ('green', 'magenta')
    """
    name = HUES[-1][0]
    for hue, start in HUES:
        if degrees % 360.0 >= start:
            name = hue
    return name


def compare_looks(first: ChartReading, second: ChartReading) -> LooksCompared:
    """The same chart under two looks, the second against the first.

    Both are scaled to their neutral row by the reading, so that what is left is colour and not
    exposure. Patches clipped in either are left out.

    Parameters
    ----------
    first:
        The look that is compared with.
    second:
        The look that is compared, of the same chart.

    Returns
    -------
    LooksCompared
        Differences are the second less the first, ratios the second over the first.

    Raises
    ------
    ChartError
        They are readings of two different charts, or no patch is left.

    Examples
    --------
    >>> from overlays.measure.chart.chart import read_chart
    >>> from overlays.measure.chart.place import Corners
    >>> from overlays.measure.chart.reference import CHART24
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import colour_frame
    >>> from overlays.signal.gamuts import published_gamut
    >>> gamut = published_gamut("BT.709")
    >>> levels = VIDEO.carried.nominal(np.maximum(CHART24.linear(gamut), 0.0)).reshape(4, 6, 3)
    >>> frame = colour_frame((100.0 * levels).tolist(), cell=16)
    >>> corners = Corners(((0.0, 0.0), (96.0, 0.0), (96.0, 64.0), (0.0, 64.0)))
    >>> chart = read_chart(frame, VIDEO, gamut, CHART24, corners)
    >>> same = compare_looks(chart, chart)
    >>> same.mean_de00, same.hues[0].hue, same.hues[0].saturation
    (0.0, 'red', 1.0)
    """
    if first.reference.names != second.reference.names:
        raise ChartError(
            f"the two readings are of different charts, {first.reference.name} and "
            f"{second.reference.name}; read the same chart twice"
        )
    grey = set(first.reference.neutrals)
    wanted = hue_degrees(first.reference.lab)
    changes = []
    lost = []
    for n, (one, two) in enumerate(zip(first.patches, second.patches, strict=True)):
        if one.lab is None or two.lab is None:
            lost.append(one.name)
            continue
        before, after = np.array(one.lab), np.array(two.lab)
        # Nothing can be said to be so many times more saturated than a grey.
        neutral = n in grey or float(chroma(before)) < LEAST_CHROMA
        turn = turn_degrees(hue_degrees(before), hue_degrees(after))
        changes.append(
            PatchChange(
                name=one.name,
                hue="neutral" if neutral else hue_name(float(wanted[n])),
                first_lab=one.lab,
                second_lab=two.lab,
                saturation=None if neutral else float(chroma(after) / chroma(before)),
                turn_deg=None if neutral else float(turn),
                lightness=float(after[0] - before[0]),
                de00=float(ciede2000(before, after)),
            )
        )
    if not changes:
        raise ChartError("every patch is clipped in one of the two looks; lower the exposure")
    notes = [*first.warnings, *second.warnings]
    if lost:
        notes.append(f"left out, since clipped in one of the two: {', '.join(lost)}")
    return LooksCompared(tuple(changes), _by_hue(changes), tuple(dict.fromkeys(notes)))


def _by_hue(changes: list[PatchChange]) -> tuple[HueChange, ...]:
    out = []
    for hue, _ in HUES:
        ratios = [c.saturation for c in changes if c.hue == hue and c.saturation]
        turns = [c.turn_deg for c in changes if c.hue == hue and c.turn_deg is not None]
        light = [c.lightness for c in changes if c.hue == hue]
        if ratios and turns:
            out.append(
                HueChange(
                    hue,
                    len(turns),
                    float(np.exp(np.mean(np.log(ratios)))),
                    float(np.mean(turns)),
                    float(np.mean(light)),
                )
            )
    return tuple(out)
