"""No word of a report is cut off by the edge of its column, and no old number looks live."""

from dataclasses import replace
from itertools import pairwise

import pytest

from overlays.draw.columns.report_column import report_pieces
from overlays.draw.layout.layouts import layout
from overlays.draw.layout.lettering import Align, Letters, Text
from overlays.draw.layout.theme import QUIET, RED_WORDS, TEXT
from overlays.draw.layout.views import TraceKind
from overlays.draw.moment.report import Report, Row, Tone
from overlays.draw.moment.shown import Face, Shown, Source
from overlays.wording.numbers import UNKNOWN, typeset
from tests import views

REPORT = Report(
    "spot against 0 st",
    "−10.00",
    "±0.02 st  ·  too dark",
    "open to f/2.8 (9 steps from f/8), then bring up to ISO 12800; -0.07 st are left",
    Tone.ALARM,
    tuple(Row(f"control {n}", "to ISO 12800, rest −0.07", is_chosen=n == 2) for n in range(8)),
    ("motion gets softer: twice the blur; flickers under lamps on 50 Hz mains",) * 4,
)
SIZES = [(480, 320), (800, 480), (1024, 600), (1280, 720), (1920, 1080)]
SOURCE = Source("kit", "V-Log", "camera")
MATCH = "give B red −0.26 st, blue +0.38 st, then open B by 0.74 st"


def made(
    size, report=REPORT, face=Face.LIVE, *, letters=None, view=views.CHIPS, source=SOURCE, turn=0
):
    arranged = layout(view, size, (1920, 1080))
    letters = letters or Letters()
    moment = Shown(view, TraceKind.LUMA, None, face, "", source, turn=turn)
    pieces = report_pieces(report, moment, arranged.readings, letters, arranged.theme)
    return pieces, arranged.readings, letters


def words(pieces):
    return [piece.words for piece in pieces if isinstance(piece, Text)]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("view", [views.CHIPS, views.MATCH])
def test_everything_stays_in_its_column(size, view):
    pieces, area, letters = made(size, view=view)
    for piece in pieces:
        if not isinstance(piece, Text):
            assert area.holds(piece.area)
            continue
        wide = letters.width(piece.words, piece.pixels)
        left = piece.x - (wide if piece.align is Align.RIGHT else 0)
        assert left >= area.left
        assert left + wide <= area.right + 1
        assert piece.top >= area.top
        assert piece.top + letters.height(piece.pixels) <= area.bottom + 1


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("view", [views.CHIPS, views.MATCH])
def test_no_two_lines_lie_over_each_other(size, view):
    pieces, _, letters = made(size, view=view)
    lines = sorted(
        {(p.top, p.top + letters.height(p.pixels)) for p in pieces if isinstance(p, Text)}
    )
    for (_, end), (start, _) in pairwise(lines):
        assert start >= end - 1


def test_the_main_number_is_the_largest():
    pieces, _, _ = made((1280, 720))
    sizes = {p.words: p.pixels for p in pieces if isinstance(p, Text)}
    assert sizes["−10.00"] > 2 * max(v for k, v in sizes.items() if k != "−10.00")


@pytest.mark.parametrize("face", [Face.STALE, Face.LOST, Face.STARTING])
def test_numbers_are_withdrawn_unless_they_are_the_feeds_now(face):
    pieces, _, _ = made((1280, 720), face=face)
    said = words(pieces)
    assert UNKNOWN in said
    assert "−10.00" not in said
    assert any(face.value in each for each in said)
    assert not any("ISO" in each for each in said)


def test_a_held_report_says_so():
    said = words(made((1280, 720), face=Face.HELD)[0])
    assert "−10.00" in said
    assert any("hold" in each for each in said)


def test_an_alarm_is_red_and_the_chosen_row_is_underlined():
    pieces, _, _ = made((1280, 720))
    texts = {piece.words: piece for piece in pieces if isinstance(piece, Text)}
    assert texts["control 2"].colour == TEXT
    assert any(piece.colour == RED_WORDS for piece in pieces if isinstance(piece, Text))
    plain, _, _ = made((1280, 720), replace(REPORT, tone=Tone.PLAIN))
    assert not any(piece.colour == RED_WORDS for piece in plain if isinstance(piece, Text))


def test_nothing_measured_yet():
    assert UNKNOWN in words(made((800, 480), None)[0])


def test_minus_signs_are_true_ones():
    assert typeset("give B red -0.18 st") == "give B red −0.18 st"
    assert typeset("mid-grey") == "mid-grey"


@pytest.mark.parametrize("size", SIZES)
def test_what_to_do_in_a_match_is_said_to_its_end_on_every_screen(size):
    said = " ".join(words(made(size, replace(REPORT, words=MATCH), view=views.MATCH)[0]))
    assert MATCH in said


def over_turns(size, report, view=views.CHIPS):
    """All that is said in a dozen turns."""
    return [
        each for turn in range(12) for each in words(made(size, report, view=view, turn=turn)[0])
    ]


@pytest.mark.parametrize("size", SIZES)
def test_what_has_no_room_beside_the_rest_has_its_turn_and_is_announced(size):
    told = over_turns(size, REPORT)
    said = " ".join(told)
    for row in REPORT.rows:
        assert row.label in said
        assert typeset(row.value) in said
    assert typeset(REPORT.words) in said
    assert all(word in said for word in REPORT.notes[0].split())
    assert "…" not in said
    now = words(made(size)[0])
    if not all(row.label in now for row in REPORT.rows):
        assert any(each.startswith("part 1 of ") for each in now)


def test_a_sentence_that_fills_more_than_the_column_takes_turns_as_well():
    sentence = " ".join(f"and{n}" for n in range(150))
    long = replace(REPORT, words=sentence, notes=(), rows=(Row("a label", "a value"),))
    told = " ".join(over_turns((480, 320), long))
    assert all(word in told for word in sentence.split())
    assert "a value" in told
    assert "…" not in told


def test_a_value_that_is_too_long_goes_below_its_label_where_all_rows_have_room():
    rows = (Row("01:00:05;10", "step -0.41, every pin"), Row("09:00:00", "step +0.20"))
    few, _, _ = made((480, 320), replace(REPORT, rows=rows, notes=(), words="steady"))
    tops = {piece.words: piece.top for piece in few if isinstance(piece, Text)}
    assert tops["step −0.41, every pin"] > tops["01:00:05;10"]
    assert tops["step +0.20"] == tops["09:00:00"] > tops["step −0.41, every pin"]
    many = over_turns((480, 320), replace(REPORT, rows=rows * 4, notes=(), words="steady"))
    assert sum(each.startswith("step") for each in many) >= 8


def test_where_both_have_no_room_neither_gives_way():
    rows = (Row("shown as a light of, K", "4232 ±20"), Row("to green", "+0.49")) * 8
    told = over_turns((480, 320), replace(REPORT, rows=rows), view=views.BALANCE)
    assert told.count("4232 ±20") >= 8
    assert told.count("shown as a light of, K") >= 8


def test_a_note_is_no_warning():
    pieces, _, _ = made((1280, 720), replace(REPORT, rows=(), notes=("depth gets deeper",)))
    (note,) = (p for p in pieces if isinstance(p, Text) and p.words == "depth gets deeper")
    assert note.colour == QUIET
