"""One page of a camera: HTML with its plots as SVG, nothing else needed to read it."""

from collections.abc import Sequence
from html import escape

import numpy as np

from firmware.instruments.characterise.answer import CharacteriseAnswer
from firmware.instruments.characterise.camera_words import camera_words

WIDE, HIGH, EDGE = 640, 300, 60
INK, QUIET, MARK = "#1b1b1b", "#8a8a8a", "#0b5ea8"

Points = Sequence[tuple[float, float]]


def page(answer: CharacteriseAnswer) -> str:
    """The page."""
    found = answer.found
    steps = [s for s in found.steps if s.is_used]
    left_out = [s for s in found.steps if not s.is_used]
    grid = np.linspace(min(s.stops for s in found.steps), found.clip_stops, 200)
    curve = list(zip(grid.tolist(), np.asarray(found.fit.curve.stops_to_value(grid)), strict=True))
    off = [(s.stops, float(found.fit.curve.value_to_stops(s.value)) - s.stops) for s in steps]
    noise = [(s.stops, s.reading.noise) for s in found.steps]
    by_step = list(zip(found.steps, answer.noise, strict=True))
    by_channel = [[(s.stops, each.channels[n]) for s, each in by_step] for n in range(3)]
    plots = (
        (
            "signal on the whole code scale, by stops from mid-grey",
            [(s.stops, s.value) for s in steps],
            curve,
            [(s.stops, s.value) for s in left_out],
        ),
        ("steps beside the curve, in stops", [p for p in off if np.isfinite(p[1])], (), ()),
        ("noise of a pixel in luma, in codes", noise, noise, ()),
        *(
            (f"noise of a sample of {channel}', in codes of luma", channel_noise, channel_noise, ())
            for channel, channel_noise in zip("RGB", by_channel, strict=True)
        ),
    )
    said = "".join(f"<li>{escape(words)}.</li>" for words in camera_words(found))
    warned = "".join(f"<li>{escape(words)}.</li>" for words in answer.origin.warnings)
    drawn = "".join(
        f"<h2>{escape(title)}</h2>{plot(dots, line, crosses)}"
        for title, dots, line, crosses in plots
    )
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        f"<title>{escape(answer.name)}</title>"
        f"<style>body{{font:15px sans-serif;color:{INK};max-width:{WIDE}px;margin:2em auto}}"
        "h2{font-size:1em}</style></head>"
        f"<body><h1>{escape(answer.name)}</h1>"
        f"<p>{escape(answer.origin.feed_name)}, {answer.origin.signal.bits} bits, "
        f"{escape(answer.origin.signal.range.value)} range; {len(found.steps)} steps</p>"
        f"<ul>{said}</ul>{drawn}<ul>{warned}</ul></body></html>\n"
    )


def plot(dots: Points, line: Points = (), crosses: Points = ()) -> str:
    """Dots, a line, and crosses for what is left out, as SVG with its axes."""
    every = [*dots, *line, *crosses] or [(0.0, 0.0)]
    xs, ys = [p[0] for p in every], [p[1] for p in every]
    low, high = (min(xs), min(ys)), (max(xs), max(ys))

    def at(point: tuple[float, float]) -> tuple[float, float]:
        across = (point[0] - low[0]) / ((high[0] - low[0]) or 1.0)
        up = (point[1] - low[1]) / ((high[1] - low[1]) or 1.0)
        return EDGE + across * (WIDE - 2 * EDGE), HIGH - EDGE - up * (HIGH - 2 * EDGE)

    out = [f'<svg viewBox="0 0 {WIDE} {HIGH}" role="img">']
    box = f'x="{EDGE}" y="{EDGE}" width="{WIDE - 2 * EDGE}" height="{HIGH - 2 * EDGE}"'
    out.append(f'<rect {box} fill="none" stroke="{QUIET}"/>')
    if line:
        path = " ".join(f"{x:.1f},{y:.1f}" for x, y in map(at, line))
        out.append(f'<polyline points="{path}" fill="none" stroke="{MARK}"/>')
    out += [f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3" fill="{INK}"/>' for x, y in map(at, dots)]
    out += [
        f'<path d="M{x - 4:.1f} {y - 4:.1f}l8 8m0 -8l-8 8" stroke="{INK}"/>'
        for x, y in map(at, crosses)
    ]
    for words, x, y, anchor in (
        (f"{low[0]:+.1f}", EDGE, HIGH - EDGE + 16, "start"),
        (f"{high[0]:+.1f}", WIDE - EDGE, HIGH - EDGE + 16, "end"),
        (f"{low[1]:.3g}", EDGE - 5, HIGH - EDGE, "end"),
        (f"{high[1]:.3g}", EDGE - 5, EDGE + 6, "end"),
    ):
        where = f'x="{x}" y="{y}" text-anchor="{anchor}"'
        out.append(f'<text {where} font-size="12" fill="{INK}">{words}</text>')
    return "".join([*out, "</svg>"])
