"""What makes numbers less certain is never dropped, never cut, and counted where it waits."""

import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.draw.columns.foot import (
    BETWEEN,
    Foot,
    Room,
    all_warnings,
    fitted,
    foot_pieces,
    short_form,
    waiting_words,
)
from overlays.draw.layout.layouts import layout
from overlays.draw.layout.lettering import Block, Letters, Text
from overlays.draw.layout.theme import AMBER, QUIET
from overlays.draw.moment.layers import Said
from overlays.draw.moment.report import Report
from overlays.draw.moment.shown import Face, Source
from tests import views

SIZES = [(480, 320), (800, 480), (1280, 720), (1920, 1080)]
LETTERS = Letters()
WORD = st.text("abcdefghij", min_size=1, max_size=9)
WARNING = st.lists(WORD, min_size=2, max_size=30).flatmap(
    lambda words: st.integers(1, len(words)).map(
        lambda at: " ".join(words[:at]) + (": " + " ".join(words[at:]) if at < len(words) else "")
    )
)


def texts(pieces):
    return [piece for piece in pieces if isinstance(piece, Text) and piece.words]


def pieces_of(moment, size):
    return foot_pieces(moment, layout(moment.view, size, (1920, 1080)), LETTERS)


@settings(max_examples=25, deadline=None)
@given(
    st.lists(WARNING, min_size=1, max_size=12, unique=True),
    st.integers(300, 1900),
    st.integers(1, 3),
)
def test_every_warning_has_its_turn_and_the_rest_is_counted(warnings, width, lines):
    room = Room(lines, width, LETTERS, 14)
    spare = LETTERS.width("+12 more", 14) + LETTERS.height(14)
    too_long = {each for each in warnings if not room.holds([short_form(each)], spare)}
    seen = set()
    for turn in range(8 * len(warnings) + 8):
        found = fitted(warnings, turn, room)
        assert 0 < len(found.lines) <= lines
        assert not any("…" in line for line in found.lines)
        assert all(LETTERS.width(line, 14) <= width for line in found.lines)
        if found.waiting:
            count = LETTERS.width(waiting_words(found.waiting), 14)
            assert LETTERS.width(found.lines[-1], 14) < width - count
        said = " ".join(line for line in found.lines if line)
        here = {each for each in warnings if short_form(each) in said}
        if not too_long:
            assert len(here) + found.waiting >= len(warnings)
        seen |= here
    assert seen | too_long == set(warnings)


def test_a_warning_longer_than_the_foot_goes_on_at_the_next_turn():
    words = [f"word{number}" for number in range(60)]
    room = Room(2, 400, LETTERS, 14)
    parts = [fitted([" ".join(words)], turn, room) for turn in range(20)]
    count = parts.index(parts[0], 1)  # then it begins anew
    assert [word for part in parts[:count] for line in part.lines for word in line.split()] == words
    assert {part.waiting for part in parts} == {1}  # on none of them is it whole


def test_parts_of_a_warning_are_of_about_one_length():
    """On 480 pixels a turn said "the profile's clip" and nothing else."""
    sentence = "the camera clips at 100.0 % or +2.47 st in R, G and B, below the profile's clip"
    room = Room(1, 455, LETTERS, 16)
    spare = LETTERS.width(waiting_words(1), 16) + LETTERS.height(16)
    assert not room.holds([sentence], spare)
    parts = [fitted([sentence], turn, room).lines[0] for turn in (0, 1)]
    assert " ".join(parts) == sentence
    lengths = sorted(LETTERS.width(part, 16) for part in parts)
    assert lengths[1] < 1.5 * lengths[0]
    assert lengths[1] <= 455 - LETTERS.width(waiting_words(1), 16)


def test_all_are_said_in_full_where_there_is_room_and_in_short_before_any_waits():
    warnings = ["one is wrong: this is why, and what to do", "two is wrong; so do that"]
    wide = Room(2, 900, LETTERS, 14)
    assert BETWEEN.strip() in " ".join(fitted(warnings, 0, wide).lines)
    assert all(each in " ".join(fitted(warnings, 0, wide).lines) for each in warnings)
    narrow = Room(1, LETTERS.width(BETWEEN.join(map(short_form, warnings)), 14), LETTERS, 14)
    for turn in range(3):
        found = fitted(warnings, turn, narrow)
        assert found.lines == (f"one is wrong{BETWEEN}two is wrong",)
        assert found.waiting == 0


@pytest.mark.parametrize(
    ("long", "short"),
    [
        (
            "the brightest thing is clipped: there is no headroom left",
            "the brightest thing is clipped",
        ),
        ("pin 2: the spot is clipped: the true light is higher", "pin 2: the spot is clipped"),
        ("A: the matrix is a guess; say it", "A: the matrix is a guess"),
        ("12 % of the spot is clipped (RG): higher", "12 % of the spot is clipped"),
        ("nothing to shorten", "nothing to shorten"),
    ],
)
def test_a_short_form_says_what_is_the_matter(long, short):
    assert short_form(long) == short


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("view", views.VIEWS)
def test_warnings_come_before_profile_and_feed(shown, size, view):
    source = Source("my profile", "my curve", "my feed")
    calm = shown(view=view, source=source, warnings=(), measured=None, face=Face.STARTING)
    calm = replace(calm, measured=None)
    said = [text.words for text in texts(pieces_of(calm, size))]
    assert " ".join(said) == "" if view is views.PICTURE else "my profile  ·  my curve" in said[0]
    assert "my feed" in " ".join(said) or view is views.PICTURE
    warned = replace(calm, warnings=("this is wrong",))
    first, *others = [text for text in texts(pieces_of(warned, size)) if text.words != "!"]
    assert (first.words, first.colour) == ("this is wrong", AMBER)
    assert all(text.colour == QUIET and text.top > first.top for text in others)
    assert bool(others) is (view is not views.PICTURE and size[0] < 1280)
    # A sign tells them from the feed's words without their colour.
    marks = [p for p in pieces_of(warned, size) if isinstance(p, Block) and p.colour == AMBER]
    assert len(marks) == 1


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("view", views.VIEWS)
def test_the_count_of_what_waits_is_on_the_screen_in_the_warnings_colour(shown, size, view):
    many = tuple(f"{number} " + "says something a little longer " * 4 for number in range(30))
    moment = shown(view=view, warnings=many)
    made = layout(view, size, (1920, 1080))
    for turn in range(3):
        pieces = texts(pieces_of(replace(moment, turn=turn), size))
        (count,) = (text for text in pieces if re.fullmatch(r"\+\d+ more", text.words))
        assert count.colour == AMBER
        for text in pieces:
            assert made.foot.holds(LETTERS.area(text)), text
        others = [LETTERS.area(text) for text in pieces if text is not count]
        assert not any(LETTERS.area(count).meets(each) for each in others)


def test_each_warning_is_said_once_and_none_of_a_stale_frame(shown):
    moment = shown(warnings=("feed says so", "feed says so"))
    assert all_warnings(moment).count("feed says so") == 1
    stale = shown(face=Face.STALE, warnings=("feed says so",))
    assert all_warnings(stale) == ("feed says so",)


def test_a_report_says_its_own_and_not_what_its_words_say_already(shown, measured):
    report = Report("h", "m", "b", "the card is clipped", warnings=("the card is clipped", "dark"))
    frame = replace(measured(), said=Said(report))
    moment = shown(view=views.BALANCE, measured=frame, warnings=("A guess", "camera 1: A guess"))
    assert all_warnings(moment) == ("dark", "camera 1: A guess")


def test_where_exposure_is_set_warnings_of_the_reading_and_of_the_advice_stand(shown, measured):
    said = Said(Report("h", "m", "b", "open up", warnings=("open up", "it may clip lower")))
    frame = measured()
    frame = replace(frame, said=said, spot=replace(frame.spot, warnings=("spot says so",)))
    told = all_warnings(shown(view=views.EXPOSE, measured=frame))
    assert {"spot says so", "it may clip lower"} <= set(told)
    assert "open up" not in told
    # Of another view's report nothing is said: neither here nor where there is none.
    other = replace(frame, view=views.CHIPS)
    assert "it may clip lower" not in all_warnings(shown(view=views.EXPOSE, measured=other))
    assert "it may clip lower" not in all_warnings(shown(view=views.PICTURE, measured=frame))


def test_a_foot_is_laid_anew_only_where_it_says_something_else(shown):
    foot, size = Foot(LETTERS), (1280, 720)
    moment = shown(warnings=("one thing: and why",))
    made = layout(moment.view, size, (1920, 1080))
    first = foot.pieces(moment, made)
    assert first == foot_pieces(moment, made, LETTERS)
    assert foot.pieces(replace(moment, note="another note"), made) is first
    for other in (shown(warnings=("another thing",)), replace(moment, turn=moment.turn + 1)):
        assert foot.pieces(other, made) is not first
        assert foot.pieces(other, made) == foot_pieces(other, made, LETTERS)
        first = foot.pieces(moment, made)
    narrow = layout(moment.view, (800, 480), (1920, 1080))
    assert foot.pieces(moment, narrow) == foot_pieces(moment, narrow, LETTERS) != first
