"""The journal as lines for a terminal, as CSV and as one object of JSON."""

import csv
import io
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict
from typing import Any

from firmware.answers.cleaner import SCHEMA
from firmware.answers.terminal_numbers import stops_words
from firmware.clock import iso_utc
from firmware.errors import JournalError
from firmware.journal.backlog import MISSED
from firmware.journal.chosen import SHAPELESS, ChosenRow, as_written
from firmware.journal.found_again import by_seal
from firmware.journal.row import JournalRow, RowKind
from firmware.journal.slate import slate_of
from overlays.draw.moment.shown import BETWEEN
from overlays.wording.reasons import Bound

OF_SPOT = ("x", "y", "size", "height", "percent", "percent_pm", "stops", "stops_pm")
WHY_NO_PM = ("at_least", "at_most", "may_clip")
"""Whether it is only a bound; channels in which it may be clipped (no word in marks of before)."""
COLUMNS = (
    "number",
    "kind",
    "time_utc",
    "time_corrected",
    "clock",
    "boot",
    "monotonic_s",
    "scene",
    "shot",
    "take",
    "camera",
    "notes",
    "feed",
    "simulated",
    "frame",
    "timecode",
    "timecode_from",
    "profile",
    "curve",
    "view",
    "spot",
    *OF_SPOT,
    "at_least",
    "at_most",
    "may_clip",
    "r_stops",
    "g_stops",
    "b_stops",
    "words",
    "by_seal",
)
"""Of the CSV, one line a spot; spot 0 is the spot itself, then the pins by number."""
OF_HEAD = ("feed", "simulated", "frame", "timecode", "timecode_from", "profile", "curve", "view")


def reading_words(head: Mapping[str, Any]) -> str:
    """The spot's stops as people read them; empty where it has none."""
    stops = head.get("stops")
    if not isinstance(stops, int | float):
        return ""
    bound = Bound.AT_LEAST if head.get("at_least") else None
    bound = Bound.AT_MOST if head.get("at_most") else bound
    pm = head.get("stops_pm")
    return stops_words(stops, pm if isinstance(pm, int | float) else None, bound=bound)


def lines(chosen: list[ChosenRow]) -> list[str]:
    """A line a row, under the days they are of."""
    out: list[str] = []
    day = ""
    for each in chosen:
        head, dated = each.row.head, each.dated
        if (dated.day or "clock unset") != day:
            day = dated.day or "clock unset"
            out.append(f"{day}, times in UTC" if dated.day else f"{day}: the day is not known")
        time = "" if dated.wall_s is None else iso_utc(dated.wall_s)[11:19]
        is_mark = each.row.kind is RowKind.MARK
        said = (
            f"{time} (corrected)" if dated.is_corrected else time,
            f"time code {head['timecode']}" if head.get("timecode") else "",
            each.slate.words,
            str(head.get("view") or "") if is_mark else "",
            reading_words(head) if is_mark else str(head.get("words", "")),
        )
        out.append(f"{each.row.number:5d}  {BETWEEN.join(filter(None, said))}")
    return out or ["No rows."]


def csv_text(rows: Iterable[tuple[ChosenRow, JournalRow]]) -> str:
    """The whole as CSV (RFC 4180): one line a spot, one an event."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for chosen, row in rows:
        with as_written(row.number):
            for line in _csv_lines(chosen, row):
                writer.writerow([_cell(line.get(column)) for column in COLUMNS])
    return out.getvalue()


def _csv_lines(chosen: ChosenRow, row: JournalRow) -> Iterator[dict[str, Any]]:
    stamp, head = row.stamp, row.head
    common = {
        "number": row.number,
        "kind": row.kind.value,
        "time_utc": None if chosen.dated.wall_s is None else iso_utc(chosen.dated.wall_s),
        "time_corrected": chosen.dated.is_corrected,
        "clock": stamp.trust.value,
        "boot": stamp.boot,
        "monotonic_s": stamp.at_ns / 1e9,
        **asdict(chosen.slate),
        **{name: head.get(name) for name in OF_HEAD},
        "words": head.get("words"),
        "by_seal": "; ".join(_sealed(row)),
    }
    spots = (row.body.get("read") or {}).get("spots") or [{}]
    for number, spot in enumerate(spots):
        rgb = spot.get("rgb_stops") or (None, None, None)
        yield {
            **common,
            "spot": number if spot else None,
            **{name: spot.get(name) for name in (*OF_SPOT, *WHY_NO_PM)},
            **dict(zip(("r_stops", "g_stops", "b_stops"), rgb, strict=True)),
        }


def _cell(value: object) -> object:
    if isinstance(value, bool):
        return "yes" if value else "no"
    # A spreadsheet takes what begins so for a formula.
    if isinstance(value, str) and value[:1] in {"=", "+", "-", "@"}:
        return f"'{value}"
    return "" if value is None else value


def corrections_of(row: JournalRow) -> list[dict[str, Any]]:
    """The files that a mark has to hand on, as far as what stands there are such."""
    found = row.body.get("files")
    return [each for each in found if isinstance(each, dict)] if isinstance(found, list) else []


def files_of(row: JournalRow) -> Iterator[tuple[str, str]]:
    """Name and text of what a mark has to hand on besides: its ASC CDLs."""
    for each in corrections_of(row):
        named = "-".join(re.findall(r"\w+", slate_of(row.head.get("slate")).words))
        name = f"{row.number:04d}{'-' if named else ''}{named}"
        ending = re.sub(r"[^.a-z]", "", str(each.get("ending", "")))
        yield f"{name}{ending}", str(each.get("text", ""))


def json_object(name: str, rows: Iterable[tuple[ChosenRow, JournalRow]]) -> dict[str, Any]:
    """The whole as one object of JSON, without the pictures and the codes."""
    return {"schema": SCHEMA, "journal": name, "rows": [_row_object(*each) for each in rows]}


def _row_object(chosen: ChosenRow, row: JournalRow) -> dict[str, Any]:
    stamp, body = row.stamp, row.body
    made: dict[str, Any] = {
        "number": row.number,
        "kind": row.kind.value,
        "time": None if chosen.dated.wall_s is None else iso_utc(chosen.dated.wall_s),
        "time_corrected": chosen.dated.is_corrected,
        "clock": stamp.trust.value,
        "boot": stamp.boot,
        "monotonic_ns": stamp.at_ns,
        "seal": row.seal.hex(),
        **row.head,
    }
    made["by_seal"] = list(_sealed(row))
    for name in ("event", "read", "answer", "profile", "health", "files", MISSED):
        if name in body:
            made[name if name != "profile" else "profile_in_use"] = body[name]
    return made


def _sealed(row: JournalRow) -> tuple[str, ...]:
    """What its seal alone holds; nothing of a row that is not as it was written (`verify` says)."""
    try:
        return by_seal(row)
    except (JournalError, *SHAPELESS):
        return ()
