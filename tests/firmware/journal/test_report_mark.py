from dataclasses import replace

from firmware.journal.chosen import ChosenRow
from firmware.journal.report_mark import mark_html, said
from firmware.journal.row import JournalRow
from firmware.journal.slate import Slate
from firmware.journal.times import Dated
from tests.marked import DAY_S, mark

SLATE = Slate("12", "A", "3", "A", "rain <& more>")


def html(row: JournalRow, *, is_corrected: bool = False) -> str:
    return mark_html(ChosenRow(row, Dated(DAY_S, is_corrected), SLATE), row).html


def test_a_mark_says_when_it_was_what_was_read_and_what_the_view_said():
    row = mark(view="pins")
    text = html(row)
    assert "2026-11-27 00:00:00 UTC" in text
    assert "take 3" in text
    assert "lighting ratio" in text
    assert "rain &lt;&amp; more&gt;" in text
    for name in ("spot", "1", "2", "3"):
        assert f"<th>{name}<td" in text
    assert text.count("<svg") == 3
    assert "reckoned back" not in text
    assert "reckoned back" in html(row, is_corrected=True)


def test_numbers_that_are_not_as_they_were_marked_are_named():
    row = mark()
    read = {**row.body["read"], "spots": [dict(each) for each in row.body["read"]["spots"]]}
    read["spots"][0]["percent"] += 1.0
    made = mark_html(
        ChosenRow(row, Dated(None), SLATE), replace(row, body={**row.body, "read": read})
    )
    assert made.is_wrong
    assert "Not as it was marked: spots 1.percent is" in made.html
    assert "clock unset" in made.html


def test_what_is_damaged_costs_no_page():
    row = replace(mark(), blobs={"codes": mark().blobs["codes"]})
    text = html(row)
    assert "no still" in text
    assert "No trace: " in text


def test_the_numbers_of_a_correction_stand_in_it():
    cc = (
        '<ColorCorrection xmlns="urn:ASC:CDL:v1.2"><SOPNode><Description>for B</Description>'
        "<Slope>1.1 1.2 1.3</Slope></SOPNode></ColorCorrection>"
    )
    files = [{"ending": ".cc", "text": cc}, {"ending": ".cc", "text": "<no"}]
    row = mark()
    text = html(replace(row, body={**row.body, "files": files}))
    assert "<th>Slope<td>1.1<td>1.2<td>1.3" in text
    assert "for B." in text
    assert text.count("ASC CDL") == 1


def test_nothing_is_said_of_nothing():
    assert (said(None), said("<a>")) == ("", "&lt;a&gt;")


def test_a_mark_says_of_what_may_be_clipped_that_it_has_no_half_width():
    feed = "bench:size=640x360,noise=0,cloud=0"
    text = html(mark(feed, "expose", profile="log-s3", at=("0.5,0.5", "128,48,16")))
    assert text.count("(may be clipped: no ±)") == 1
    assert "(may be clipped" not in html(mark())
