"""The giant reading on every screen: nothing cut, nothing over another, large enough."""

import itertools
from dataclasses import replace

import pytest

from overlays.draw.columns.giant import FIELDS, WIDEST_WORD, _bar, giant_pieces
from overlays.draw.layout.areas import Area
from overlays.draw.layout.layouts import layout
from overlays.draw.layout.lettering import Block, Letters, Text
from overlays.draw.layout.palette import contrast_ratio
from overlays.draw.layout.theme import LEAST_CONTRAST_MARK, PANEL, RED_WORDS, theme_for
from overlays.draw.layout.views import TraceKind
from overlays.draw.moment.layers import Said
from overlays.draw.moment.report import Report, Row, Tone
from overlays.draw.moment.shown import Alert, Face, Measured, Shown, Source
from overlays.wording.numbers import UNKNOWN
from tests import views

SCREENS = [(480, 320), (800, 480), (1280, 720), (1920, 1080), (480, 800)]
LONG = (
    "cannot be said: read to ±0.52 st, less sure than ±0.33 st; was out 12 times, last under, "
    "at most −1.3 st at its farthest"
)
LOW = Alert("supply voltage too low: use a stronger supply", Tone.ALARM)


def shown(
    main="OVER", words="was out once, last over, +0.80 st at its farthest", face=Face.LIVE, **how
):
    report = Report(
        "target 0 st, ±0.33 st",
        main,
        "+0.80 ±0.05 st off",
        words,
        Tone.ALARM,
        (Row("reads", "+0.80 st   46.5 %   R +0.81  G +0.79  B +0.80"),),
        notes=("“clear” forgets it",),
    )
    nothing = None
    measured = Measured(nothing, nothing, nothing, nothing, None, None, said=Said(report))
    source = Source("Log", "V-Log", "bench", is_simulated=True)
    return Shown(views.TARGET, TraceKind.LUMA, measured, face, "no cable", source, **how)


def pieces(moment, size):
    letters = Letters()
    made = layout(views.TARGET, size, (1920, 1080))
    return giant_pieces(moment, made.readings, letters, made.theme), made, letters


@pytest.mark.parametrize("size", SCREENS, ids=str)
@pytest.mark.parametrize(
    "moment",
    [
        shown(),
        shown("IN", "has not been out"),
        shown("UNDER", LONG, alert=LOW),
        shown(UNKNOWN, LONG, face=Face.LOCKED),
        shown(face=Face.STALE),
        shown(face=Face.LAMP),
    ],
    ids=["over", "in", "under", "unknown", "stale", "lamp"],
)
def test_nothing_is_cut_and_nothing_lies_over_another(size, moment):
    found, made, letters = pieces(moment, size)
    areas = [letters.area(each) for each in found if isinstance(each, Text) and each.words]
    for area in areas:
        assert made.screen.holds(area)
        assert area.bottom <= made.foot.top + 2
    for place, one in enumerate(areas):
        for other in areas[place + 1 :]:
            assert not one.inset(2).meets(other.inset(2))


@pytest.mark.parametrize("size", SCREENS, ids=str)
def test_word_and_number_keep_their_sizes_and_are_large(size):
    heights, numbers = {}, set()
    for word in ("IN", "OVER", "UNDER"):
        found, _, letters = pieces(shown(word), size)
        heights[word] = next(
            letters.height(p.pixels) for p in found if isinstance(p, Text) and p.words == word
        )
        numbers |= {p.pixels for p in found if isinstance(p, Text) and "st off" in p.words}
    assert len(set(heights.values())) == len(numbers) == 1
    assert heights[WIDEST_WORD] >= min(size) / 5
    assert numbers.pop() >= min(size) / 12


def test_what_the_spot_reads_is_said_in_a_line_below_them():
    found, _, _ = pieces(shown(), (800, 480))
    assert "reads +0.80 st   46.5 %   R +0.81  G +0.79  B +0.80" in {
        p.words for p in found if isinstance(p, Text)
    }


def test_which_it_is_can_be_told_without_words_or_colours():
    filled = []
    for word, colour in FIELDS:
        found, _, _ = pieces(shown(word), (800, 480))
        bar = [p for p in found if isinstance(p, Block) and p.colour == colour]
        assert len(bar) == 1
        filled.append(bar[0].area.top)
        assert contrast_ratio(colour, PANEL) >= LEAST_CONTRAST_MARK
    assert filled == sorted(set(filled))  # over is above in, in above under
    unknown, _, _ = pieces(shown(UNKNOWN), (800, 480))
    assert not {p.colour for p in unknown if isinstance(p, Block)} & {c for _, c in FIELDS}


@pytest.mark.parametrize("face", [Face.STALE, Face.STALLED, Face.LOST, Face.STARTING])
def test_of_a_feed_that_is_not_to_be_believed_nothing_is_said(face):
    found, _, _ = pieces(shown(face=face), (800, 480))
    words = [p.words for p in found if isinstance(p, Text)]
    assert not {name for name, _ in FIELDS} & set(words)
    assert UNKNOWN in words
    assert face.value.upper() in words


def test_locked_and_simulated_are_said_and_an_alarm_is_red():
    found, _, _ = pieces(shown(face=Face.LOCKED), (800, 480))
    words = " ".join(p.words for p in found if isinstance(p, Text))
    assert "LOCKED" in words
    assert "simulated" in words
    assert RED_WORDS in {p.colour for p in found if isinstance(p, Text)}
    calm = replace(shown(), face=Face.LIVE)
    assert "LOCKED" not in " ".join(
        p.words for p in pieces(calm, (800, 480))[0] if isinstance(p, Text)
    )


@pytest.mark.parametrize("size", SCREENS, ids=str)
def test_an_alert_stands_in_the_last_line_and_nothing_else_moves(size):
    without, _, _ = pieces(shown(), size)
    found, _, _ = pieces(shown(alert=LOW), size)
    assert found[:-1] == without
    assert found[-1].words == f"!!  {LOW.words}"


@pytest.mark.parametrize("screen", SCREENS)
def test_the_fields_of_the_bar_stand_apart_the_more_the_larger_the_screen(screen):
    theme = theme_for(*screen)
    made = _bar("", Area(0, 0, 60, 300), theme)
    fields = [piece.area for piece in made if isinstance(piece, Block)][::2]
    apart = {under.top - over.bottom for over, under in itertools.pairwise(fields)}
    assert apart == {max(theme.gap // 2, 2)}
    assert theme_for(1280, 720).gap // 2 > 2  # or the larger of the two would be no choice
