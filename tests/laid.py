"""What is laid on a screen at a moment: every piece of type with where it stands and may stand."""

from dataclasses import dataclass

import numpy as np
import pygame

from overlays.draw.columns.help import help_pieces
from overlays.draw.layout.areas import Area
from overlays.draw.layout.layouts import Layout
from overlays.draw.layout.lettering import Block, Letters, Text
from overlays.draw.layout.panel_size import PanelSize
from overlays.draw.layout.views import Over, Readings
from overlays.draw.moment.lineup import GUIDE
from overlays.draw.moment.shown import Face, Shown
from overlays.draw.painter import Painter
from overlays.wording.numbers import typeset

CUT = "…"


@dataclass(frozen=True)
class Line:
    """A line of type and its box."""

    text: Text
    area: Area
    is_mark: bool = False
    """Flags of pins and figures on the picture lie where things are; words may lie over them."""

    @property
    def ink(self) -> Area:
        """Where its letters are: a line of type is higher than they are."""
        spare = self.area.height // 8
        height = max(self.area.height - 2 * spare, 1)
        return Area(self.area.left, self.area.top + spare, self.area.width, height)


class Paper:
    """A screen in memory that remembers the words laid on it."""

    def __init__(self, size: tuple[int, int], panel: PanelSize | None = None) -> None:
        self.surface = pygame.Surface(size, 0, 32, (0xFF0000, 0xFF00, 0xFF, 0))
        self.painter = Painter(self.surface, panel=panel)
        self.letters = self.painter._letters
        self.laid: list[tuple[Text, bool]] = []
        self.letters.draw = self._draw  # type: ignore[method-assign]
        self.is_written = False
        self.backings: list[Area] = []
        """What words on the picture stand on."""
        write = self.painter._ink.write

        def written(pieces, shown):
            self.backings += [piece.area for piece in pieces if isinstance(piece, Block)]
            self.is_written = True
            write(pieces, shown)
            self.is_written = False

        self.painter._ink.write = written  # type: ignore[method-assign]
        # What has no letters is left out: it would take nearly all of the time.
        nothing = lambda *_what, **_how: None  # noqa: E731 - in three places
        self.painter._picture.draw = nothing  # type: ignore[method-assign]
        self.painter._trace._luma.draw = nothing  # type: ignore[method-assign]
        self.painter._trace._ghost.lay = nothing  # type: ignore[method-assign]

    def _draw(self, text: Text, onto: pygame.Surface) -> None:
        if text.words and onto is self.surface:
            self.laid.append((text, not self.is_written))
        Letters.draw(self.letters, text, onto)

    def lay(self, shown: Shown) -> tuple[Layout, list[Line]]:
        """The layout and every line of a moment, all laid anew."""
        self.laid, self.backings = [], []
        self.painter._layout = None
        made = self.painter.paint(shown)
        self.of_help = len(shown.help) and len(
            [
                each
                for each in help_pieces(
                    shown.help, made.screen, self.letters, made.theme, shown.turn
                )
                if isinstance(each, Text) and each.words
            ]
        )
        return made, [Line(text, self.letters.area(text), mark) for text, mark in self.laid]


def faults(made: Layout, lines: list[Line]) -> list[str]:
    """What is cut or torn, lies over another line or reaches out of the screen."""
    out = [f"cut: {line.text.words!r}" for line in lines if CUT in line.text.words]
    words = [line.text.words.strip() for line in lines]
    out += [
        f"a dot beside nothing: {each!r}" for each in words if each[:1] == "·" or each[-1:] == "·"
    ]
    out += [
        f"out of the screen: {line.text.words!r} at {line.area}"
        for line in lines
        if not made.screen.holds(line.area)
    ]
    inked = [line for line in lines if not line.is_mark]
    return out + [
        f"one over the other: {inked[n].text.words!r}, {inked[m].text.words!r}"
        for n, m in meeting([line.ink for line in inked])
    ]


def meeting(areas: list[Area]) -> list[tuple[int, int]]:
    """Pairs of areas that meet (`Area.meets`), all at once: a screen has some hundreds of pairs."""
    edges = np.array([(a.left, a.top, a.right, a.bottom) for a in areas]).reshape(-1, 4)
    first, second = edges[:, None], edges[None]
    meet = (first[..., :2] < second[..., 2:]).all(-1) & (second[..., :2] < first[..., 2:]).all(-1)
    return [(int(n), int(m)) for n, m in np.argwhere(np.triu(meet, 1))]


def missing(lines: list[Line], shown: Shown) -> list[str]:
    """Rows, words and notes of the report, and stripes, of which something is not on the screen."""
    said = " ".join(line.text.words for line in lines)
    if shown.index:  # it stands in place of the view
        known = {} if shown.readable is None else shown.readable.figures
        return [each for each in (*shown.index, *known.values()) if not _has(said, each)]
    if shown.lineup is not None:
        guide = GUIDE[shown.lineup.step]
        return [
            each for each in (guide.name, guide.words, shown.lineup.light) if not _has(said, each)
        ]
    words: list[str] = []
    out: list[str] = []
    seen = shown.readable
    report = None if seen is None or seen.said is None else seen.said.report
    if report is not None and shown.view.readings is Readings.REPORT:
        words += [report.main, report.beside, report.heading]
    if report is not None:
        words += [report.words, *report.notes]
        words += [row.value for row in report.rows]
        out = [row.label for row in report.rows if not _has(said, row.label, row.short)]
    has_picture = shown.measured is not None and shown.face is not Face.LOST
    if has_picture and shown.painted and Over.STRIPES in shown.view.over:
        words += [stripe.words for stripe in shown.stripes]
    return out + [each for each in words if each and not _has(said, each)]


def _has(said: str, *either: str) -> bool:
    return any(words and all(word in said for word in typeset(words).split()) for words in either)
