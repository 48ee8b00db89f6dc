"""One mark on the page of a report."""

from collections.abc import Mapping
from dataclasses import dataclass
from html import escape
from typing import Any
from xml.etree import ElementTree as ET

from firmware.answers.terminal_numbers import percent_words, room_words, stops_words
from firmware.errors import JournalError
from firmware.journal.backlog import MISSED, missed_words
from firmware.journal.chosen import SHAPELESS, ChosenRow
from firmware.journal.found_again import by_seal
from firmware.journal.inputs import inputs_of, profile_of
from firmware.journal.outlets import corrections_of
from firmware.journal.pictures import chroma_svg, still_svg, trace_svg
from firmware.journal.row import JournalRow
from firmware.journal.small import unpack
from firmware.journal.verify import wrong_numbers
from overlays.measure.spot.spot import SpotPlace
from overlays.wording.numbers import typeset
from overlays.wording.reasons import MAY_BE_CLIPPED, Bound

CDL_PARTS = ("Slope", "Offset", "Power", "Saturation")
"""Elements of a ColorCorrection (ASC CDL 1.2)."""


@dataclass(frozen=True, slots=True)
class MarkHtml:
    """Its HTML, whether its numbers are not what its codes give, and its feed in words."""

    html: str
    is_wrong: bool
    feed: str = ""


def said(value: object) -> str:
    """Anything as text of HTML; nothing where there is nothing."""
    return "" if value is None else escape(str(value))


def mark_html(chosen: ChosenRow, row: JournalRow) -> MarkHtml:
    """The mark: when and where, still and spots, trace and chroma, what the view said, warnings."""
    faults = list(wrong_numbers(row))
    head, body = row.head, row.body
    read = body.get("read") or {}
    told = _spots(read, body) + _extremes(read)
    parts = [
        f"<h3>#{row.number} · {said(chosen.dated.words)}{_timecode(head)}{_take(chosen)}</h3>",
        *(f"<p class=warn>Not as it was marked: {said(each)}.</p>" for each in faults),
        f"<div class=pair>{_still(row, read)}<div>{told}</div></div>",
        f"<div class=pair>{_traces(row)}</div>",
        _view(head, body),
        _corrections(row),
        _notes(chosen, row, read),
    ]
    return MarkHtml(f"<article id=m{row.number}>{''.join(parts)}</article>", bool(faults))


def _timecode(head: Mapping[str, Any]) -> str:
    code = head.get("timecode")
    if not code:
        return ""
    counted = " (counted from the first frame)" if head.get("timecode_from") != "file" else ""
    return f" · time code {said(code)}{counted}"


def _take(chosen: ChosenRow) -> str:
    return f" · take {said(chosen.slate.take)}" if chosen.slate.take else ""


def _names(read: Mapping[str, Any], body: Mapping[str, Any]) -> list[str]:
    """The spot, then the pins by number and by the name that the profile gives them."""
    pins = ((body.get("inputs") or {}).get("desk") or {}).get("pins") or []
    named = [f"{n} {pin.get('name', '')}".strip() for n, pin in enumerate(pins, start=1)]
    return ["spot", *named][: len(read.get("spots") or [])]


def _still(row: JournalRow, read: Mapping[str, Any]) -> str:
    feed = read.get("feed") or {}
    places = [
        (name, SpotPlace(spot["x"], spot["y"], spot["size"], spot["height"]))
        for name, spot in zip(_names(read, row.body), read.get("spots") or [], strict=False)
    ]
    jpeg = row.blobs.get("still")
    if not jpeg or not feed:
        return "<p class=quiet>no still</p>"
    return still_svg(jpeg, (int(feed["width"]), int(feed["height"])), places)


def _spots(read: Mapping[str, Any], body: Mapping[str, Any]) -> str:
    rows = []
    for name, spot in zip(_names(read, body), read.get("spots") or [], strict=False):
        bound = Bound.AT_LEAST if spot["at_least"] else Bound.AT_MOST if spot["at_most"] else None
        stops = stops_words(spot["stops"], spot["stops_pm"], bound=bound)
        if spot.get("may_clip"):
            stops += f" ({MAY_BE_CLIPPED})"
        level = percent_words(spot["percent"], spot["percent_pm"])
        channels = " ".join("–" if each is None else f"{each:+.2f}" for each in spot["rgb_stops"])
        rows.append(
            f"<tr><th>{said(name)}<td class=main>{said(typeset(stops))}<td>{said(level)}"
            f"<td>{said(typeset(channels))}</tr>"
        )
    return (
        "<table class=spots><thead><tr><th><th>stops<th>level<th>R G B, stops</thead>"
        f"<tbody>{''.join(rows)}</tbody></table>"
    )


def _extremes(read: Mapping[str, Any]) -> str:
    frame = read.get("frame")
    if not frame:
        return ""
    shares = frame["clipped"]
    clipped = " ".join(f"{100 * shares[channel]:.1f}" for channel in "rgb")
    return (
        f"<p>Headroom {said(room_words(frame['headroom']))}, footroom "
        f"{said(room_words(frame['footroom']))}; clipped R G B {clipped} % of the picture.</p>"
    )


def _traces(row: JournalRow) -> str:
    """Both, as far as they can be drawn; a damaged one costs no page."""
    try:
        inputs = inputs_of(row.body.get("inputs"))
        profile = row.body.get("profile") or {}
        yard = inputs.yardstick(profile_of(profile.get("text"), profile.get("name")))
        out = trace_svg(unpack(row.blobs.get("trace", b"")), yard)
        if "chroma" in row.blobs:
            out += chroma_svg(unpack(row.blobs["chroma"]), inputs.signal)
    except JournalError as fault:
        return f"<p class=warn>No trace: {said(fault)}.</p>"
    return out


def _view(head: Mapping[str, Any], body: Mapping[str, Any]) -> str:
    words = "; ".join(
        f"{key}: {value}" if key else str(value)
        for key, value in (body.get("said") or {}).items()
        if value
    )
    return f"<p><b>{said(head.get('view'))}</b> {said(typeset(words))}</p>" if words else ""


def _corrections(row: JournalRow) -> str:
    """ASC CDLs of a match: their numbers, and what they are for as their files say it."""
    out = []
    for each in corrections_of(row):
        try:
            found = ET.fromstring(str(each["text"]).encode())
        except (ET.ParseError, KeyError, TypeError):
            continue
        rows = [
            f"<tr><th>{name}{''.join(f'<td>{said(n)}' for n in (node.text or '').split())}<td></tr>"
            for name in CDL_PARTS
            if (node := found.find(f".//{{*}}{name}")) is not None
        ]
        about = found.find(".//{*}Description")
        words = "" if about is None else f"<p class=quiet>{said(about.text)}.</p>"
        out.append(f"<p><b>ASC CDL</b></p><table class=cdl>{''.join(rows)}</table>{words}")
    return "".join(out)


def _by_seal(row: JournalRow) -> str:
    """Which of its numbers nothing that is kept gives again."""
    try:
        names = by_seal(row)
    except (JournalError, *SHAPELESS):  # what is wrong with it is said above
        return ""
    return f"Held by the seal of the journal alone: {said(', '.join(names))}." if names else ""


def _notes(chosen: ChosenRow, row: JournalRow, read: Mapping[str, Any]) -> str:
    body = row.body
    warnings = list(read.get("warnings") or ())
    for name, spot in zip(_names(read, body), read.get("spots") or [], strict=False):
        warnings += [f"{name}: {each}" for each in spot.get("warnings") or ()]
    notes = [f"<p>Notes: {said(chosen.slate.notes)}</p>"] if chosen.slate.notes else []
    if chosen.dated.is_corrected:
        notes.append(
            "<p class=quiet>Its time was reckoned back from a clock that was set later.</p>"
        )
    if missed := body.get(MISSED):
        notes.append(f"<p>Before it {said(missed_words(missed))}: the card took nothing.</p>")
    if sealed := _by_seal(row):
        notes.append(f"<p class=quiet>{sealed}</p>")
    items = "".join(f"<li>{said(each)}.</li>" for each in dict.fromkeys(warnings))
    return "".join(notes) + (f"<ul class=quiet>{items}</ul>" if items else "")
