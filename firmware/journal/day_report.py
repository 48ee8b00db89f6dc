"""The record of a day as one page of HTML that holds all of itself: to read, print and hand on."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from html import escape

from firmware.errors import JournalError
from firmware.journal.chosen import ChosenRow, as_written
from firmware.journal.outlets import reading_words
from firmware.journal.pictures import TimeMark, time_svg
from firmware.journal.report_mark import MarkHtml, mark_html, said
from firmware.journal.row import JournalRow, RowKind
from firmware.journal.style import STYLE
from firmware.profiles.model import NO_PROFILE
from overlays.wording.numbers import typeset


@dataclass(slots=True)
class Setup:
    """What belongs to one scene, shot and camera: marks, and what happened, each as HTML."""

    name: tuple[str, str, str]
    marks: list[str] = field(default_factory=list)
    events: list[str] = field(default_factory=list)
    times: list[tuple[ChosenRow, bool]] = field(default_factory=list)
    feeds: dict[str, None] = field(default_factory=dict)


def report_html(title: str, rows: Iterable[tuple[ChosenRow, JournalRow]]) -> str:
    """The page.

    Parameters
    ----------
    title:
        Of the journal.
    rows:
        Each with its whole row; looked at one at a time.
    """
    setups: dict[tuple[str, str, str], Setup] = {}
    days: dict[str, None] = {}
    marks, wrong, is_simulated = 0, 0, False
    index: list[str] = []
    for chosen, row in rows:
        if row.kind is RowKind.CLOCK:
            continue
        days[chosen.dated.day or "day unknown"] = None
        try:
            with as_written(row.number):
                made = _entry(chosen, row)
        except JournalError as fault:
            made = MarkHtml(f"<article><p class=warn>{escape(str(fault))}.</p></article>", True)
        setup = setups.setdefault(chosen.slate.setup, Setup(chosen.slate.setup))
        setup.times.append((chosen, row.kind is RowKind.EVENT))
        if row.kind is RowKind.EVENT:
            setup.events.append(made.html)
            continue
        setup.marks.append(made.html)
        index.append(_index_row(chosen, is_wrong=made.is_wrong))
        setup.feeds[made.feed] = None
        marks, wrong = marks + 1, wrong + made.is_wrong
        is_simulated = is_simulated or bool(row.head.get("simulated"))
    words = _head_html(title, list(days), marks, wrong, is_simulated=is_simulated)
    body = [f"<header>{words}{_index_html(index)}</header>"]
    body += [_setup_html(each) for each in setups.values()]
    if not setups:
        body.append("<p>Nothing was marked.</p>")
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width">'
        f"<title>{escape(title)}: {escape(', '.join(days))}</title><style>{STYLE}</style></head>"
        f"<body>{''.join(body)}</body></html>\n"
    )


def _entry(chosen: ChosenRow, row: JournalRow) -> MarkHtml:
    if row.kind is RowKind.EVENT:
        return MarkHtml(_event_html(chosen, row), is_wrong=False)
    return replace(mark_html(chosen, row), feed=_feed_words(row))


def _head_html(
    title: str, days: Sequence[str], marks: int, wrong: int, *, is_simulated: bool
) -> str:
    count = "1 mark" if marks == 1 else f"{marks} marks"
    checked = (
        "Each number of the spots was recomputed from the codes that the camera sent when "
        "this page was made, and found as it was marked."
        if not wrong
        else f"{wrong} of the marks could not be recomputed as they were marked; it is said there."
    )
    simulated = (
        "<p class=warn>There are readings of the bench among them: a simulated feed with no camera "
        "behind it.</p>"
        if is_simulated
        else ""
    )
    return (
        f"<h1>{escape(', '.join(days) or 'No day')}</h1><p class=quiet>{escape(title)} · "
        f"{count}</p><p>Stops are from mid-grey (18 % reflectance), through the curve of the "
        "profile. ± is half the width within which the truth lies 95 times of 100. Times are UTC. "
        f"{checked}"
        f"</p>{simulated}"
    )


def _index_row(chosen: ChosenRow, *, is_wrong: bool) -> str:
    """A mark in the list at the beginning."""
    head, number = chosen.row.head, chosen.row.number
    cells = (
        f"<a href='#m{number}'>#{number}</a>",
        said(chosen.dated.words[11:] if chosen.dated.day else chosen.dated.words),
        said(head.get("timecode")),
        said(chosen.slate.words),
        said(typeset(reading_words(head))) + (" (not as it was marked)" if is_wrong else ""),
    )
    return f"<tr>{''.join(f'<td>{cell}' for cell in cells)}</tr>"


def _index_html(rows: Sequence[str]) -> str:
    if not rows:
        return ""
    names = ("mark", "time", "time code", "slate", "spot")
    heading = "".join(f"<th>{name}" for name in names)
    return f"<nav><table><thead><tr>{heading}</thead><tbody>{''.join(rows)}</tbody></table></nav>"


def _setup_html(setup: Setup) -> str:
    names = ("Scene", "shot", "camera")
    named = [f"{what} {value}" for what, value in zip(names, setup.name, strict=True) if value]
    feeds = "".join(f"<p class=quiet>{escape(each)}</p>" for each in setup.feeds)
    events = ""
    if setup.events:
        events = (
            "<h3>What the watch saw</h3><table class=events><thead><tr><th>time<th>time code"
            f"<th>what<th>in words</thead><tbody>{''.join(setup.events)}</tbody></table>"
        )
    return (
        f"<section><div class=setup><h2>{escape(', '.join(named) or 'Without a slate')}</h2>{feeds}"
        f"{_time_html(setup)}{events}</div>{''.join(setup.marks)}</section>"
    )


def _time_html(setup: Setup) -> str:
    """Marks and events of a setup on one line, where more than one has a time."""
    timed = [(c.dated.wall_s, c, event) for c, event in setup.times if c.dated.wall_s is not None]
    if len(timed) < 2:
        return ""
    first, last = min(t for t, _, _ in timed), max(t for t, _, _ in timed)
    marks = [
        TimeMark(
            (time - first) / max(last - first, 1e-9),
            str(chosen.row.head.get("change") or chosen.row.head.get("words", ""))[:24]
            if event
            else f"#{chosen.row.number}",
            event,
        )
        for time, chosen, event in timed
    ]
    ends = [next(c.dated.words[11:19] for t, c, _ in timed if t == end) for end in (first, last)]
    return time_svg(marks, *ends)


def _event_html(chosen: ChosenRow, row: JournalRow) -> str:
    event = row.body.get("event") or {}
    start = event.get("start") or {}
    return (
        f"<tr><td>{escape(chosen.dated.words[11:19])}<td>{said(start.get('timecode'))}"
        f"<td>{said(event.get('change'))}<td>{said(typeset(str(row.head.get('words', ''))))}</tr>"
    )


def _feed_words(row: JournalRow) -> str:
    feed = (row.body.get("read") or {}).get("feed") or {}
    size = f"{feed.get('width')}x{feed.get('height')}"
    signal = " ".join(str(feed.get(name)) for name in ("range", "subsampling", "matrix"))
    profile = row.head.get("profile")
    named = str(profile) if profile == NO_PROFILE else f"profile {profile}"
    parts = [str(row.head.get("feed", "")), f"{size}, {feed.get('bits')} bit {signal}", named]
    return " · ".join([*parts, f"curve {row.head.get('curve')}"])
