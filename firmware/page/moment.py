"""A moment as the object that goes to the phones: plain words and numbers, made of values alone.

Nothing of it is of one instrument: a report is a report, whoever made it.
"""

from dataclasses import replace
from typing import Any

from firmware.answers.cleaner import finite
from firmware.answers.terminal_numbers import percent_words, room_words
from firmware.page.standing import Choice, OnPage
from overlays.draw.moment.report import Report, Row, Tone
from overlays.draw.moment.shown import BELIEVED, StripeShown
from overlays.draw.trace.scales import Kind, percent_marks, ruler, stop_marks
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.range_reading import RangeReading
from overlays.measure.spot.spot import SpotReading
from overlays.wording.numbers import UNKNOWN, pm_text, stops_number, typeset

ROWS = 256
"""Of the scale beside a trace, which is as high on every phone: places are shares of it."""
LABEL_GAP = 16
"""Rows between two labels of the scale."""


def moment_object(seen: OnPage) -> dict[str, Any]:
    """What a phone shows, as an object of JSON."""
    standing, source = seen.standing, seen.source
    report = seen.report if seen.has_report else _both(spot_report(seen.spot, seen.range), seen)
    return {
        "view": seen.view,
        "face": seen.face.value,
        "believed": seen.face in BELIEVED,
        "face_words": seen.face_words,
        "locked": standing.is_locked,
        "places": standing.places,
        "pins_allowed": standing.pins_allowed,
        "frame": seen.number,
        "simulated": source.is_simulated,
        "read_as": source.read_as,
        "feed": source.feed,
        "target": seen.target,
        "note": seen.note,
        "alert": None if seen.alert is None else _alert(seen),
        "warnings": _warnings(seen, report),
        "report": None if report is None else report_object(report),
        "spot": _spot(seen),
        "pins": [_pin(seen, number) for number in range(len(standing.pins))],
        "stripes": [_stripe(each, seen, n) for n, each in enumerate(seen.stripes)],
        "painted": seen.is_painted,
        "views": [
            {"name": name, "figure": typeset(seen.figures.get(name, ""))} for name in standing.views
        ],
        "rail": {
            "pressed": [_choice(each) for each in standing.pressed],
            "held": [_choice(each) for each in standing.held],
        },
        "sheets": [
            {
                "title": sheet.title,
                "entries": [
                    {"label": label, "press": press.name.lower()} for label, press in sheet.entries
                ],
            }
            for sheet in standing.sheets
        ],
        "profiles": list(standing.profiles),
        "profile": standing.profile,
        "scale": None if seen.yard is None else scale_object(seen.yard),
    }


def _both(read: Report | None, seen: OnPage) -> Report | None:
    """Spot and range, and what an instrument says to do where the view has one that does."""
    report = seen.report
    if read is None or report is None:
        return read
    rows, warnings = (*read.rows, *report.rows), (*read.warnings, *report.warnings)
    return replace(
        read, words=report.words, tone=report.tone, rows=rows, notes=report.notes, warnings=warnings
    )


def spot_report(spot: SpotReading | None, found: RangeReading | None) -> Report | None:
    """The spot and the range as a report, for views that show these beside the picture."""
    if spot is None:
        return None
    beside = "st" if spot.bound or spot.stops is None else f"{pm_text(spot.stops_pm, 2)} st"
    rows = [Row("level", percent_words(spot.percent, spot.percent_pm))]
    bounds = spot.rgb_bounds
    rows += [
        Row(name, f"{stops_number(value, None, bound)} st")
        for name, value, bound in zip("RGB", spot.rgb_stops, bounds, strict=True)
    ]
    if found is not None:
        clipped = 100.0 * max(found.clipped_rgb)
        rows += [
            Row("headroom", room_words(found.headroom_stops)),
            Row("footroom", room_words(found.footroom_stops)),
            Row("clipped", f"{clipped:.1f} %", Tone.ALARM if clipped >= 0.05 else Tone.PLAIN),
        ]
    heading = "spot" if spot.bound is None else f"spot, {spot.bound.value}"
    said = (*spot.warnings, *(() if found is None else found.warnings))
    main = stops_number(spot.stops, spot.stops_pm, spot.bound)
    return Report(heading, main, beside, "", rows=tuple(rows), warnings=said)


def report_object(report: Report) -> dict[str, Any]:
    """A report as words for people."""
    is_known = report.main != UNKNOWN
    return {
        "heading": report.heading,
        "main": typeset(report.main),
        "spoken": f"{report.main} {report.beside}".strip() if is_known else "no reading",
        "beside": typeset(report.beside),
        "words": typeset(report.words),
        "tone": report.tone.value,
        "rows": [
            {
                "label": row.label,
                "value": typeset(row.value),
                "tone": row.tone.value,
                "chosen": row.is_chosen,
            }
            for row in report.rows
        ],
        "notes": [typeset(each) for each in report.notes],
    }


def scale_object(yard: Yardstick) -> dict[str, Any]:
    """Lines of the trace's scale: shares from its top, with their labels."""
    on = ruler(yard, ROWS)

    def share(row: int) -> float:
        return round((row + 0.5) / ROWS, 4)

    stops = [
        {"at": share(mark.row), "label": mark.label}
        for mark in stop_marks(yard, on, LABEL_GAP)
        if mark.label and mark.kind is not Kind.PERCENT
    ]
    percent = [
        {"at": share(mark.row), "label": mark.label} for mark in percent_marks(on, LABEL_GAP)
    ]
    return {"percent": percent, "stops": stops}


def _warnings(seen: OnPage, report: Report | None) -> list[str]:
    said = () if report is None else report.warnings
    words = "" if report is None else report.words
    every = dict.fromkeys([*said, *seen.warnings])
    return [typeset(each) for each in every if each != words]


def _alert(seen: OnPage) -> dict[str, str]:
    alert = seen.alert
    assert alert is not None
    return {"words": alert.words, "tone": alert.tone.value, "name": alert.name}


def _choice(choice: Choice | None) -> dict[str, str] | None:
    if choice is None:
        return None
    press = "" if choice.press is None else choice.press.name.lower()
    return {"label": choice.label, "press": press, "opens": choice.opens, "section": choice.section}


def _spot(seen: OnPage) -> dict[str, float | None] | None:
    place, size = seen.place, seen.size
    if place is None or size is None:
        return None
    return _box(place.left, place.top, place.size, place.rows, size)


def _pin(seen: OnPage, number: int) -> dict[str, Any] | None:
    pin, size = seen.standing.pins[number], seen.size
    if size is None:
        return None
    place = pin.place
    box = _box(place.left, place.top, place.size, place.rows, size)
    return {"label": pin.label, **box}


def _box(left: int, top: int, width: int, height: int, size: tuple[int, int]) -> dict[str, Any]:
    """A rectangle in shares of the picture."""
    return {
        "x": finite(left / size[0]),
        "y": finite(top / size[1]),
        "w": finite(width / size[0]),
        "h": finite(height / size[1]),
    }


def _stripe(stripe: StripeShown, seen: OnPage, number: int) -> dict[str, Any]:
    return {
        "words": typeset(stripe.words),
        "share": finite(stripe.share),
        "selected": number == seen.selected and len(seen.stripes) > 1,
    }
