"""What the pins view says beside the picture."""

import numpy as np

from firmware.instruments.pins.answer import EvennessAnswer, PinsAnswer, warnings_of
from overlays.draw.moment.report import Report, Row
from overlays.measure.pins.lighting import ALIKE_STOPS, Evenness, Ratio, ratio_of, why_no_ratio
from overlays.wording.numbers import UNKNOWN, pm_text, signed, stops_number, stops_text
from overlays.wording.reasons import Reason

HOW = "set two pins to span the area that is to be even"


def ratio_report(answer: PinsAnswer) -> Report:
    """Pin 1 against pin 2, and all others against pin 1."""
    spots = answer.spots
    if 1 not in spots:
        words = "set a pin on the lit side and one on the shadow side: they give the lighting ratio"
        return Report("pins", UNKNOWN, "", words)
    first = spots[1]
    second = spots.get(2, answer.spot)
    ratio = None if second is None else ratio_of(first, second)
    other = "pin 2" if 2 in spots else "the spot"
    rows = []
    for number, spot in spots.items():
        label = f"{number} {answer.names[number]}".strip()
        read = f"{stops_text(spot.stops, spot.stops_pm, spot.bound)} st"
        if spot.stops is None:
            read = Reason.NO_LIGHT.words
        if number > 1:
            label, read = f"{label}  {read}", _ratio_words(ratio_of(first, spot))
        rows.append(Row(label, read))
    words = f"pin 1 against {other}"
    warned = warnings_of(answer)
    if ratio is None:
        if second is not None:
            words += f": unknown, {why_no_ratio(first, second).words}"
        return Report("lighting ratio", UNKNOWN, "", words, rows=tuple(rows), warnings=warned)
    key = ratio.key_over_fill_stops
    if key is not None:
        over = stops_text(key, 1.0, ratio.bound)
        words += f"; if {other} is lit by the fill alone, the key is {over} st over it"
    if ratio.bound is not None:
        heading = f"lighting ratio: {ratio.bound.value}"
        main = stops_number(ratio.stops, None, ratio.bound)
        beside = f"st  ·  {ratio.spoken}"
        return Report(heading, main, beside, words, rows=tuple(rows), warnings=warned)
    beside = f"{pm_text(ratio.pm, 2)} st  ·  {ratio.spoken}"
    return Report(
        "lighting ratio",
        signed(ratio.stops, 2),
        beside,
        words,
        rows=tuple(rows),
        warnings=warned,
    )


def _ratio_words(ratio: Ratio | None) -> str:
    """How a pin lies to the first one."""
    if ratio is None:
        return UNKNOWN
    if ratio.bound is None and abs(ratio.stops) < ALIKE_STOPS:
        return "like pin 1"
    way, bound = "under", ratio.bound
    if ratio.stops < 0.0:
        way, bound = "over", None if bound is None else bound.other
    far = f"{abs(ratio.stops):.2f}" if bound is None else f"{bound.value} {abs(ratio.stops):.1f}"
    return f"{far} {way} 1, {ratio.spoken}"


def evenness_report(answer: EvennessAnswer, warnings: tuple[str, ...]) -> Report:
    """How far any cell is from the mean, and where the brightest and the darkest lie."""
    even = answer.even
    if even is None:
        return Report(answer.of, UNKNOWN, "", str(answer.fault))
    if even.within_stops is None:
        return Report(answer.of, UNKNOWN, "", even.warnings[0], warnings=warnings)
    bright, dark = _where(even, even.brightest), _where(even, even.darkest)
    spread, beside = f"{even.spread_stops:.2f}", "st  ·  from the mean"
    if even.within_pm is not None and even.spread_pm is not None:
        spread = f"{spread} {pm_text(even.spread_pm, 2)}"
        beside = f"{pm_text(even.within_pm, 2)} {beside}"
    return Report(
        answer.of,
        f"±{even.within_stops:.2f}",
        beside,
        f"even within ±{even.within_stops:.2f} st; brightest {bright}, darkest {dark}",
        rows=(
            Row("brightest, st", signed(float(even.map_stops[even.brightest]), 2)),
            Row("darkest, st", signed(float(even.map_stops[even.darkest]), 2)),
            Row("spread, st", spread),
        ),
        notes=() if answer.is_spanned else (HOW,),
        warnings=warnings,
    )


def _where(even: Evenness, cell: tuple[int, int]) -> str:
    """The part of the area that a cell lies in, in words."""
    grid = even.map_stops.shape
    down, across = ((at + 0.5) / count for at, count in zip(cell, grid, strict=True))
    rows = ("top", "", "bottom")[int(np.floor(3.0 * down))]
    columns = ("left", "", "right")[int(np.floor(3.0 * across))]
    return " ".join(word for word in (rows, columns) if word) or "in the middle"
