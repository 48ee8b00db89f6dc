"""The pictures of a report as SVG that holds all of itself: still, trace, chroma and time line.

On paper dark is much: shades are turned over, and lines and labels are type that prints sharply.
"""

import base64
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

import numpy as np
import numpy.typing as npt

from firmware.journal.grey_png import grey_png
from overlays.draw.chroma.graticule import targets
from overlays.draw.trace.scales import Kind, ruler, stop_marks
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.levels import chroma_scale
from overlays.signal.signal import Signal

INK, QUIET, LINE, WARM = "#1c1c1c", "#6b6b6b", "#b9b9b9", "#b3481a"
"""On white: type, what is less, lines, and what happened. WARM reads as darker than QUIET without
colour too, and is never the only sign of anything."""

TRACE_WIDE, TRACE_HIGH, LABELS = 470, 220, 48
CHROMA_SIDE = 226
TIME_WIDE, TIME_HIGH = 700, 96
STOP_GAP, PERCENT_GAP = 11, 16

Counts = npt.NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class TimeMark:
    """Something on a time line: where (0 to 1), its name, and whether it happened by itself."""

    share: float
    label: str
    happened: bool


def _inline(data: bytes, kind: str) -> str:
    return f"data:image/{kind};base64,{base64.b64encode(data).decode()}"


NAMES = {"still": "still", "trace": "trace", "chroma": "chroma trace", "time": "time line"}


def _opened(name: str, box: str) -> str:
    return (
        f'<svg class="{name}" viewBox="{box}" role="img" aria-label="{NAMES[name]}" '
        'preserveAspectRatio="xMinYMin">'
    )


def _image(source: str, left: int, wide: int, high: int) -> str:
    return (
        f'<image href="{source}" x="{left}" width="{wide}" height="{high}" '
        'preserveAspectRatio="none"/>'
    )


def _shades(counts: Counts) -> bytes:
    """White paper, and darker where there is more; what is there at all can be seen."""
    shades = np.where(counts > 0, 215 - (counts.astype(np.int64) * 205) // 255, 255)
    return grey_png(shades.astype(np.uint8))


def still_svg(jpeg: bytes, size: tuple[int, int], places: Sequence[tuple[str, SpotPlace]]) -> str:
    """The still with spot and pins on it, each with its name.

    Parameters
    ----------
    size:
        (columns, rows) of the picture that the places are of.
    """
    columns, rows = size
    unit = rows / 270.0
    out = [
        _opened("still", f"0 0 {columns} {rows}"),
        _image(_inline(jpeg, "jpeg"), 0, columns, rows),
    ]
    for name, place in places:
        box = f'x="{place.left}" y="{place.top}" width="{place.size}" height="{place.rows}"'
        for colour, wide in (("#000", 4.0), ("#fff", 1.6)):
            out.append(
                f'<rect {box} fill="none" stroke="{colour}" stroke-width="{wide * unit:.2f}"/>'
            )
        at = f'x="{place.left + place.size + 4 * unit:.1f}" y="{place.row + 5 * unit:.1f}"'
        out.append(
            f'<text {at} font-size="{15 * unit:.1f}" font-weight="700" fill="#fff" stroke="#000" '
            f'stroke-width="{3 * unit:.2f}" paint-order="stroke">{escape(name)}</text>'
        )
    return "".join([*out, "</svg>"])


def trace_svg(counts: Counts, yard: Yardstick) -> str:
    """The trace with its levels in percent at the left and in stops at the right."""
    on = ruler(yard, TRACE_HIGH)
    wide = TRACE_WIDE + 2 * LABELS
    out = [
        _opened("trace", f"0 -8 {wide} {TRACE_HIGH + 16}"),
        _image(_inline(_shades(counts.T[::-1]), "png"), LABELS, TRACE_WIDE, TRACE_HIGH),
    ]
    for percent in (0, 25, 50, 75, 100):
        if not on.holds(percent):
            continue
        out.append(_level(on.row(percent), percent in {0, 100}))
        out.append(_label(LABELS - 6, on.row(percent), f"{percent} %", "end", QUIET))
    for mark in stop_marks(yard, on, STOP_GAP):
        if not mark.label:
            continue
        is_stop = mark.kind is Kind.STOP
        name = f"{mark.label} st" if is_stop else mark.label
        out.append(
            _label(LABELS + TRACE_WIDE + 6, mark.row, name, "start", QUIET if is_stop else INK)
        )
        if mark.kind in {Kind.MID_GREY, Kind.CLIP}:
            out.append(_level(mark.row, is_strong=True))
    box = f'x="{LABELS}" y="0" width="{TRACE_WIDE}" height="{TRACE_HIGH}"'
    return "".join([*out, f'<rect {box} fill="none" stroke="{LINE}"/></svg>'])


def _level(row: int, is_strong: bool) -> str:
    how = f'stroke="{QUIET}"' if is_strong else f'stroke="{LINE}" stroke-dasharray="2 4"'
    right = LABELS + TRACE_WIDE
    return f'<path d="M{LABELS} {row + 0.5}H{right}" {how} stroke-width="0.8"/>'


def _label(x: float, y: float, words: str, anchor: str, colour: str) -> str:
    return (
        f'<text x="{x:.1f}" y="{y + 4:.1f}" font-size="11" text-anchor="{anchor}" '
        f'fill="{colour}">{escape(words)}</text>'
    )


def chroma_svg(counts: Counts, signal: Signal) -> str:
    """The chroma trace: Cb to the right, Cr upwards, the bars at 75 % as rings."""
    scale = chroma_scale(Signal(bits=8, range=signal.range))
    unit = CHROMA_SIDE / 256.0

    def at(cb: float, cr: float) -> tuple[float, float]:
        across, up = (scale.zero + scale.span * value + 0.5 for value in (cb, cr))
        return across * unit, CHROMA_SIDE - up * unit

    x0, y0 = at(0.0, 0.0)
    side = CHROMA_SIDE
    out = [
        _opened("chroma", f"0 0 {side} {side}"),
        _image(_inline(_shades(counts.T[::-1]), "png"), 0, side, side),
        f'<path d="M0 {y0:.1f}H{side}M{x0:.1f} 0V{side}" stroke="{LINE}" stroke-width="0.8"/>',
    ]
    for each in targets(signal.matrix):
        if each.level > 0.8:
            continue
        x, y = at(each.cb, each.cr)
        out.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4" fill="none" stroke="{QUIET}"/>')
        out.append(_label(x + 7, y, each.name, "start", QUIET))
    return "".join(
        [*out, f'<rect width="{side}" height="{side}" fill="none" stroke="{LINE}"/></svg>']
    )


def time_svg(marks: Sequence[TimeMark], first: str, last: str) -> str:
    """A time line: marks above it, what happened by itself below, from the first to the last."""
    left, right, middle = 10.0, TIME_WIDE - 10.0, 40.0
    out = [
        _opened("time", f"0 0 {TIME_WIDE} {TIME_HIGH}"),
        f'<path d="M{left} {middle}H{right}" stroke="{INK}"/>',
    ]
    taken: dict[bool, float] = {True: -99.0, False: -99.0}
    for each in sorted(marks, key=lambda one: one.share):
        x = left + each.share * (right - left)
        colour, tip = (WARM, middle + 14) if each.happened else (INK, middle - 14)
        out.append(f'<path d="M{x:.1f} {middle}V{tip}" stroke="{colour}" stroke-width="2"/>')
        if x - taken[each.happened] < 7.0 * len(each.label):
            continue  # it stands in the table below all the same
        taken[each.happened] = x
        anchor = "end" if x > 0.9 * TIME_WIDE else "start" if x < 0.1 * TIME_WIDE else "middle"
        out.append(_label(x, tip + (9 if each.happened else -7), each.label, anchor, colour))
    out.append(_label(left, TIME_HIGH - 5, first, "start", QUIET) if first else "")
    out.append(_label(right, TIME_HIGH - 5, last, "end", QUIET) if last else "")
    return "".join([*out, "</svg>"])
