from dataclasses import replace

import pytest

from overlays.draw.columns.cells import in_pairs, range_cells
from overlays.draw.columns.column import Column
from overlays.draw.columns.readouts import _numbers, expose_pieces
from overlays.draw.layout.areas import Area
from overlays.draw.layout.layouts import layout
from overlays.draw.layout.lettering import Block, Text
from overlays.draw.layout.theme import RED_WORDS, TEXT, theme_for
from overlays.draw.moment.layers import Said
from overlays.draw.moment.report import Report, Row, Tone
from overlays.draw.moment.shown import Face, Source
from overlays.measure.spot.spot import SpotPlace
from overlays.wording.numbers import UNKNOWN, typeset
from tests import views

SCREENS = [(800, 480), (1024, 600), (1280, 720), (1280, 800), (1920, 1080)]
FACES = list(Face)


def area_of(piece, letters):
    return letters.area(piece) if isinstance(piece, Text) else piece.area


def column(moment, letters, screen):
    made = layout(views.EXPOSE, screen, (1920, 1080))
    return made.readings, expose_pieces(moment, made.readings, letters, made.theme)


def words(pieces):
    return [piece.words for piece in pieces if isinstance(piece, Text)]


def moments(shown, measured):
    bright = measured(place=SpotPlace(185, 50, 8))
    dark = measured(place=SpotPlace(5, 50, 8))
    many = tuple(f"warning number {n} says something a little longer" for n in range(9))
    yield from (shown(face=face, face_words="words") for face in FACES)
    yield shown(measured=bright)
    yield shown(measured=dark)
    yield shown(measured=measured(curve="ACEScct"), warnings=many)
    yield shown(painted=False, selected=2)
    yield shown(source=Source("A title " * 9, "A curve", "a feed of a very long name " * 9))


@pytest.mark.parametrize("screen", SCREENS)
def test_no_text_is_cut_off_or_runs_into_another(shown, measured, letters, screen):
    for moment in moments(shown, measured):
        area, pieces = column(moment, letters, screen)
        texts = [piece for piece in pieces if isinstance(piece, Text) and piece.words]
        for piece in pieces:
            assert area.holds(area_of(piece, letters)), piece
        for index, one in enumerate(texts):
            for other in texts[index + 1 :]:
                mine, theirs = ink(one, letters), ink(other, letters)
                assert not mine.meets(theirs), (one, other)


def ink(text, letters):
    """Where letters can be: lines may stand closer than their boxes, which hold empty rows."""
    box = letters.area(text)
    spare = box.height // 8
    return Area(box.left, box.top + spare, box.width, max(box.height - 2 * spare, 1))


@pytest.mark.parametrize("screen", SCREENS)
def test_labels_are_whole_on_every_screen(shown, letters, screen):
    _, pieces = column(shown(source=Source("T", "C", "feed")), letters, screen)
    assert not [text for text in words(pieces) if "…" in text]


def test_the_main_number_is_the_largest_and_readable_from_two_metres(shown, letters):
    for screen in SCREENS:
        _, pieces = column(shown(), letters, screen)
        texts = sorted((p for p in pieces if isinstance(p, Text)), key=lambda p: -p.pixels)
        assert texts[0].pixels >= 1.5 * texts[1].pixels
        # Digits of 0.7 em on a panel 87 mm high (7 inch, 16:9) against 5 minutes of arc at 2 m,
        # which is 2.9 mm and the limit of normal sight: at least twice that.
        assert texts[0].pixels * 0.7 * 87.0 / screen[1] >= 2 * 2.9


@pytest.mark.parametrize("face", [Face.STALE, Face.LOST, Face.STARTING])
def test_numbers_are_withdrawn_unless_they_are_of_the_feed_now(shown, letters, face):
    _, pieces = column(shown(face=face, face_words="x"), letters, (1280, 720))
    bands = {stripe.words for stripe in shown().stripes}
    numbers = [t for t in words(pieces) if any(c.isdigit() for c in t) and t not in bands]
    assert numbers == []
    assert words(pieces).count(UNKNOWN) >= 8


def test_a_held_frame_says_so_beside_its_numbers(shown, letters):
    _, pieces = column(shown(face=Face.HELD, face_words="x"), letters, (1280, 720))
    _, live = column(shown(), letters, (1280, 720))
    assert "spot, held" in words(pieces)
    assert words(pieces)[1:] == words(live)[1:]


def stripes_of(moment):
    return {stripe.words for stripe in moment.stripes}


def test_a_clipped_spot_is_at_least_what_it_reads_and_has_no_plus_minus(shown, measured, letters):
    moment = shown(measured=measured(place=SpotPlace(186, 50, 8)))
    assert moment.measured.spot.clipped > 0.5
    _, pieces = column(moment, letters, (1280, 720))
    said = words(pieces)
    assert "spot, at least" in said
    assert any(text.startswith("clipped 1") for text in said)
    assert not any("±" in text for text in said if text not in stripes_of(moment))


def test_in_rows_of_a_narrow_column_red_stays_red(shown, measured, letters):
    moment = shown(measured=measured(place=SpotPlace(186, 50, 8)))
    area = Area(0, 0, 160, 600)
    items = _numbers(moment, Column(area, letters, theme_for(480, 800), 0), in_rows=True)
    found = {each.row.row.label: each.row.row.tone for each in items if each.row is not None}
    cells = [cell for row in range_cells(moment.measured.range) for cell in in_pairs(row)]
    assert {RED_WORDS, TEXT} == {colour for _, _, colour in cells}
    for label, _, colour in cells:
        assert (found[label] is Tone.ALARM) is (colour == RED_WORDS)


def test_rules_and_marks_are_blocks_inside_the_column(shown, letters):
    area, pieces = column(shown(), letters, (1280, 720))
    blocks = [p for p in pieces if isinstance(p, Block)]
    assert len(blocks) >= 2
    assert all(area.holds(block.area) for block in blocks)


ADVICE = Report(
    "spot against 0 st",
    "−1.20",
    "±0.02 st",
    "open to f/2.8, then bring up to ISO 1600; -0.07 st are left for a variable ND",
    Tone.PLAIN,
    tuple(Row(f"control {n}", "to ISO 12800, rest −0.07", is_chosen=n == 2) for n in range(3)),
    ("motion gets softer: twice the blur",),
)


@pytest.mark.parametrize("screen", [(480, 320), *SCREENS, (320, 480), (480, 800), (720, 1280)])
def test_what_to_do_and_every_control_are_said_beside_the_numbers_or_in_their_turn(
    shown, letters, screen
):
    moment = shown()
    advised = replace(moment, measured=replace(moment.measured, said=Said(ADVICE)))
    told = ""
    for turn in range(8):
        area, pieces = column(replace(advised, turn=turn), letters, screen)
        assert all(area.holds(area_of(piece, letters)) for piece in pieces)
        told += " ".join(words(pieces)) + " "
    assert all(word in told for word in typeset(ADVICE.words).split())
    for each in ("control 1", "rest −0.07", "twice the blur", "brightest", "headroom", "clipped"):
        assert each in told


@pytest.mark.parametrize("face", [Face.STALE, Face.LOST])
def test_what_to_do_is_not_said_of_a_feed_that_is_not_believed(shown, letters, face):
    moment = shown(face=face, face_words="x")
    advised = replace(moment, measured=replace(moment.measured, said=Said(ADVICE)))
    _, pieces = column(advised, letters, (1280, 720))
    assert not any("open" in each for each in words(pieces))


def test_a_wide_area_has_the_number_at_its_left_and_all_else_at_its_right(shown, letters):
    area = Area(10, 400, 460, 200)
    pieces = expose_pieces(shown(), area, letters, theme_for(480, 800))
    texts = {piece.words: piece for piece in pieces if isinstance(piece, Text)}
    assert texts["brightest, st"].x > area.left + 0.4 * area.width
    assert min(texts.values(), key=lambda text: -text.pixels).x == area.left
    assert all(area.holds(area_of(piece, letters)) for piece in pieces)


def test_what_another_view_said_is_not_said_in_this_one(shown, letters):
    moment = shown()
    measured = replace(moment.measured, said=Said(ADVICE), view=views.CHIPS)
    _, pieces = column(replace(moment, measured=measured), letters, (1280, 720))
    assert not any("open" in each for each in words(pieces))
