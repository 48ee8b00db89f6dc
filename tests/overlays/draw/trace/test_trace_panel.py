import gc
from dataclasses import replace

import numpy as np
import pygame
import pytest

from overlays.draw.layout.layouts import layout
from overlays.draw.layout.lettering import Align, Letters
from overlays.draw.layout.monitor import Monitor
from overlays.draw.layout.theme import CHANNELS, GROUND, PANEL, pixel_of
from overlays.draw.layout.views import TraceKind
from overlays.draw.moment.shown import Face
from overlays.draw.trace import trace_panel
from overlays.draw.trace.trace import lay_over, shades
from overlays.draw.trace.trace_panel import TracePanel, free_of
from overlays.sharing.crew import ALONE
from tests import views
from tests.overlays.draw.conftest import make_measured

BEHIND = (200, 100, 40)
"""A picture of one colour, on a landscape screen behind the trace."""


def paint(panel, surface, moment, made):
    ALONE.together(panel.begin(moment, made))
    panel.paint(surface, moment, made)


def painted(moment, letters, screen=(800, 480)):
    surface = pygame.Surface(screen, 0, 32)
    made = layout(views.EXPOSE, screen, (1920, 1080))
    surface.fill(BEHIND)
    paint(TracePanel(letters), surface, moment, made)
    area = made.trace
    pixels = pygame.surfarray.array2d(surface).T
    return pixels, area, made


def test_a_slope_in_the_picture_is_a_slope_in_the_trace(shown, letters):
    pixels, area, _ = painted(shown(), letters)
    trace = pixels[area.top : area.bottom, area.left : area.right]
    bright = (trace >> 8 & 255) > 90
    rows = [np.flatnonzero(bright[:, x]) for x in (60, 240, 420)]
    middles = [float(np.median(found)) for found in rows]
    assert middles[0] > middles[1] > middles[2]
    assert middles[0] - middles[2] > 0.35 * area.height  # what 360 of 800 columns rise by


@pytest.mark.parametrize("face", [Face.STALE, Face.LOST, Face.STARTING])
@pytest.mark.parametrize(("screen", "left"), [((800, 480), BEHIND), ((480, 800), PANEL)])
def test_no_level_is_shown_that_is_not_the_feeds_now(shown, letters, face, screen, left):
    pixels, area, _ = painted(shown(face=face), letters, screen)
    trace = pixels[area.top : area.bottom, area.left : area.right]
    assert (trace == pixel_of(left)).all()


def test_over_a_picture_it_shows_through_a_quarter_as_bright(shown, letters):
    pixels, area, made = painted(shown(), letters)
    assert made.is_over_picture(area)
    trace = pixels[area.top : area.bottom, area.left : area.right]
    dimmed = pixel_of(tuple(each // 4 for each in BEHIND))
    assert (trace == dimmed).mean() > 0.3
    assert not (trace == pixel_of(PANEL)).any()
    upright, area, made = painted(shown(), letters, (480, 800))
    assert not made.is_over_picture(area)
    under = upright[area.top : area.bottom, area.left : area.right]
    assert (under == pixel_of(PANEL)).mean() > 0.3


def test_three_channels_stand_side_by_side_in_their_colours(shown, letters):
    pixels, area, _ = painted(shown(trace=TraceKind.RGB), letters)
    trace = pixels[area.top : area.bottom, area.left : area.right]
    third = area.width // 3
    for index, colour in enumerate(CHANNELS):
        part = trace[:, index * third : (index + 1) * third - 1]
        shade = np.array(shades(colour)[1:])
        assert np.isin(part, shade).sum() > 200


@pytest.mark.parametrize("screen", [(480, 320), (800, 480), (480, 800)])
def test_scales_stand_on_both_sides_of_the_trace_and_nothing_outside_of_it(shown, screen):
    letters = NotingLetters()
    pixels, area, made = painted(shown(), letters, screen)
    behind = pixel_of(BEHIND)
    assert (pixels[: area.top] == behind).all()
    assert (pixels[area.bottom :] == behind).all()
    free = free_of(made)
    for align, edge in ((Align.LEFT, free.left), (Align.RIGHT, free.right)):
        texts = [text for text in letters.texts if text.align is align and text.words]
        assert len(texts) >= 2
        for text in texts:
            box = letters.area(text)
            assert abs((box.left if align is Align.LEFT else box.right) - edge) == 2
            assert free.holds(box)
            # A quiet label on a bright picture is legible only on a ground of its own.
            part = pixels[box.top : box.bottom, box.left : box.right]
            ground = pixel_of(GROUND if made.is_over_picture(area) else PANEL)
            assert (part == ground).mean() > 0.3


def test_on_a_small_screen_scales_stand_clear_of_the_readings(shown):
    letters = NotingLetters()
    _, _, made = painted(shown(), letters, (480, 320))
    assert made.trace.meets(made.readings)
    assert not any(letters.area(text).meets(made.readings) for text in letters.texts)


class NotingLetters(Letters):
    """Letters that keep what they were asked to draw."""

    def __init__(self):
        super().__init__()
        self.texts = []

    def draw(self, text, onto):
        self.texts.append(text)
        super().draw(text, onto)

    def stamp(self, ground, text, like):
        made = super().stamp(ground, text, like)
        self.texts[-1] = text  # where it goes, and not where it lies in its image
        return made


@pytest.mark.parametrize("screen", [(800, 480), (1280, 720), (1920, 1080)])
def test_each_channel_is_named_at_the_left_of_its_third(shown, screen):
    letters = NotingLetters()
    _, area, made = painted(shown(trace=TraceKind.RGB), letters, screen)
    names = [text for text in letters.texts if text.words in {"R", "G", "B"}]
    assert [(text.words, text.colour) for text in names] == list(zip("RGB", CHANNELS, strict=True))
    for index, text in enumerate(names):
        left = area.left + index * (area.width // 3)
        box = letters.area(text)
        assert 0.4 * made.theme.gap <= box.left - left <= 0.6 * made.theme.gap
        assert box.right < left + area.width // 12
        assert area.top <= box.top < area.top + box.height


def at(moment, seconds, census=None):
    """The same moment of a frame that came so much later, perhaps with other counts."""
    measured = moment.measured
    frame = replace(measured.frame, time_ns=measured.frame.time_ns + round(seconds * 1e9))
    counts = measured.census if census is None else census
    return replace(moment, measured=replace(measured, frame=frame, census=counts))


def in_turn(letters, *moments):
    """Trace by trace as one panel paints them, each over a picture of its own."""
    surface, panel = pygame.Surface((800, 480), 0, 32), TracePanel(letters)
    made, seen = layout(views.EXPOSE, (800, 480), (1920, 1080)), []
    for moment in moments:
        surface.fill(BEHIND)
        paint(panel, surface, moment, made)
        seen.append(pygame.surfarray.array2d(surface).T.tobytes())
    return seen


def mirrored_counts(moment):
    return replace(moment.measured.census, levels=moment.measured.census.levels[::-1].copy())


@pytest.mark.parametrize("rate", [50, 60])
def test_of_many_frames_a_second_every_second_one_has_its_own_trace(shown, letters, rate):
    first, other = shown(), mirrored_counts(shown())
    alone = [in_turn(letters, each)[0] for each in (first, at(first, 0.0, other))]
    assert alone[0] != alone[1]
    seen = in_turn(letters, first, *(at(first, n / rate, other) for n in (1, 2, 3)))
    assert seen == [alone[0], alone[0], alone[1], alone[1]]


@pytest.mark.parametrize("rate", [24, 25, 30, 40])
def test_of_fewer_every_one_has(shown, letters, rate):
    first, other = shown(), mirrored_counts(shown())
    alone = in_turn(letters, at(first, 0.0, other))[0]
    assert in_turn(letters, first, at(first, 1 / rate, other))[1] == alone


def moved(moment):
    place = replace(moment.measured.place, column=moment.measured.place.column + 40)
    return replace(moment, measured=replace(moment.measured, place=place))


@pytest.mark.parametrize(
    "change",
    [
        moved,
        lambda moment: replace(moment, trace=TraceKind.RGB),
        lambda moment: replace(moment, monitor=Monitor(mirrored=True)),
        lambda moment: replace(moment, measured=make_measured(curve="S-Log3")),
    ],
    ids=["the spot", "three channels", "mirrored", "the curve"],
)
def test_what_is_set_otherwise_is_seen_in_the_next_frame(shown, letters, change):
    first = shown()
    then = at(change(first), 1 / 60)
    assert in_turn(letters, first, then)[1] == in_turn(letters, then)[0]
    assert in_turn(letters, first, then)[1] != in_turn(letters, first)[0]


def test_a_frame_that_is_measured_again_has_its_new_trace(shown, letters):
    first = shown()
    again = at(first, 0.0, mirrored_counts(first))
    assert in_turn(letters, first, again)[1] == in_turn(letters, again)[0]


class Kept:
    """Holds pixels, and refers to itself: so do the frames of a loop that had to be compiled."""

    def __init__(self, pixels):
        self.pixels, self.itself = pixels, self


def test_pixels_that_a_loops_frames_still_hold_do_not_keep_its_scales_off(
    shown, letters, monkeypatch
):
    def held(sheet, target, crew):
        lay_over(sheet, target, crew)
        Kept(target)

    plain, _, _ = painted(shown(), letters)
    monkeypatch.setattr(trace_panel, "lay_over", held)
    gc.disable()
    try:
        pixels, _, _ = painted(shown(), letters)
    finally:
        gc.enable()
    assert (pixels == plain).all()
