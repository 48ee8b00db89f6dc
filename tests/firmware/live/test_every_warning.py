"""Every view with the longest true values and every warning there is: none is dropped or cut."""

import re

import pygame
import pytest

from firmware.actions import PlaceSpot, Press
from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.feeds.camera import PICTURE_WARNING, RAW_WARNINGS
from firmware.feeds.decoding import INTERLACED
from firmware.instruments.registry import REGISTRY
from firmware.live.loop import TURN_NS, Loop
from firmware.live.starting import starting_state
from firmware.opening.overrides import Overrides
from firmware.opening.session import open_session
from overlays.draw.columns.foot import all_warnings, short_form
from overlays.draw.layout.lettering import Letters
from overlays.draw.layout.theme import AMBER
from overlays.wording.numbers import typeset
from tests.golden.cases import CHIPS
from tests.golden.playing import Sheet, Timed, turned_by_hand

SIZES = [(480, 320), (800, 480), (1280, 720)]
DEEP = "bench:size=960x540,rate=2,curve=S-Log3,signal=yuv422-10,exposure=-4,kelvin=2800,dial=9000"
BRIGHT = "bench:size=960x540,rate=2,curve=V-Log,signal=nv12,exposure=5,kelvin=9000,dial=2800"


class Spied(Sheet):
    """A screen in memory that remembers the words laid on it, by the moment."""

    def __init__(self, size):
        super().__init__(size)
        self.laid, self.ever = [], []
        self.moment = self.made = None
        self.painter._letters.draw = self.draw  # type: ignore[method-assign]

    def draw(self, text, onto):
        self.laid.append(text)
        self.ever.append(text)
        Letters.draw(self.painter._letters, text, onto)

    def paint(self, shown):
        self.laid, self.moment = [], shown
        self.painter._foot = []  # so that the foot is laid anew
        self.made = self.painter.paint(shown)


def troubles():
    """What feeds, profiles and the machine say besides, each as the product writes it."""
    return (
        PICTURE_WARNING,
        *RAW_WARNINGS,
        f"/media/card/A001_C003.mov is {INTERLACED}",
        "buttons do not work: line 17 of the header is in use by another program",
    )


def played(view, feed, sheet):
    """A loop in a view with a frame held, on a screen; these and its clock."""
    clock = HandClock(start_ns=10**9, wall_start_s=1_700_000_000.0)
    session = open_session(feed, "standard", Overrides(), clock=HandClock(10**9), pace=Pace.STEP)
    state = starting_state(session, REGISTRY.view(view))
    loop = turned_by_hand(Loop(Timed(session.feed, clock), state, sheet, clock, troubles()))
    for column, row in CHIPS:
        sheet.presses += [PlaceSpot(column, row), Press.SET_PIN]
    loop.turn()
    for press in (Press.SET_REFERENCE, Press.HOLD):
        for _ in range(2):
            loop._take_frame()
            loop._measure_frame()
            loop.turn()
        sheet.presses.append(press)
        loop.turn()
    return loop, sheet, clock


def foot(sheet):
    """Texts in the foot in the warning's colour, and where they lie."""
    letters, area = sheet.painter._letters, sheet.made.foot
    return [
        (piece, letters.area(piece))
        for piece in sheet.laid
        if piece.words and piece.colour == AMBER and letters.area(piece).meets(area)
    ]


@pytest.mark.parametrize("feed", [DEEP, BRIGHT])
@pytest.mark.parametrize("view", [view.name for view in REGISTRY.views()])
def test_no_warning_is_missing_or_cut_in_any_view_at_any_size(view, feed):
    loop, _, clock = played(view, feed, Spied(SIZES[0]))
    for size in SIZES:
        loop._board = sheet = Spied(size)  # what was measured is the same at every size
        seen = set()
        for _ in range(14):
            clock.move(TURN_NS / 1e9)
            loop.turn()
            warnings = all_warnings(sheet.moment)
            assert set(troubles()) <= set(warnings)
            laid = foot(sheet)
            words = [piece.words for piece, _ in laid]
            counts = [each for each in words if re.fullmatch(r"\+\d+ more", each)]
            said = " ".join(each for each in words if each not in counts)
            assert "…" not in said, size
            here = {each for each in warnings if typeset(short_form(each)) in said}
            waiting = int(re.sub(r"\D", "", counts[0])) if counts else 0
            assert len(here) + waiting >= len(warnings), size
            for piece, area in laid:
                assert sheet.made.screen.holds(area), (size, piece)
                corner, across = (area.left, area.top), (area.width, area.height)
                ink = pygame.surfarray.array3d(sheet.surface.subsurface((corner, across)))
                least = 4 * len(piece.words.replace(" ", ""))
                assert (ink == AMBER).all(axis=2).sum() > least, (size, piece)
            seen |= here
        assert seen == set(warnings), size
