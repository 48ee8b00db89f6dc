"""The readings of a view with a picture, and the key to the stripes that are on it."""

import pygame

from overlays.draw.columns.foot import all_warnings
from overlays.draw.columns.ink import Ink
from overlays.draw.columns.legend import key_pieces, key_width
from overlays.draw.columns.plates import plate_pieces
from overlays.draw.columns.readouts import expose_pieces
from overlays.draw.columns.report_column import report_pieces
from overlays.draw.layout.areas import Area
from overlays.draw.layout.layouts import Layout
from overlays.draw.layout.lettering import Align, Block, Letters, Piece, Stamp, Text, box_of
from overlays.draw.layout.theme import GROUND
from overlays.draw.layout.views import Arrangement, Readings
from overlays.draw.moment.news import News, said_of
from overlays.draw.moment.shown import Face, Shown


class ReadingsPanel:
    """Lays readings where there is something new to say; paints them as often as they need it.

    Where they lie over the picture they stand on a backing that is no higher than they are.
    """

    def __init__(self, letters: Letters, ink: Ink) -> None:
        self._letters, self._ink = letters, ink
        self._news = News()
        self._laid: list[Piece] = []
        self._pieces: list[Piece] = []
        self._key: list[Piece] = []
        self._key_said: tuple[object, ...] = ()
        self._box: Area | None = None
        self._is_fresh = False
        self._images: list[Stamp | None] = [None, None]
        """Readings and key on their backings, as they were painted when they were new."""

    def forget(self) -> None:
        """Lay and paint all of it anew next time."""
        self._news.forget()
        self._laid, self._pieces, self._key, self._box = [], [], [], None
        self._key_said, self._images = (), [None, None]

    def lay(self, surface: pygame.Surface, shown: Shown, made: Layout) -> None:
        """Find what stands now, and wipe away what stood beside the picture: it is painted next."""
        is_warned = bool(all_warnings(shown))
        if not self._news.is_new((*said_of(shown), is_warned)):
            self._is_fresh = False
            return
        self._images[0] = None
        laid = self._readings(shown, made, is_warned=is_warned)
        self._is_fresh, self._laid = laid != self._laid, laid
        self._pieces, picture = laid, made.picture
        plate = None
        if picture is not None and made.is_over_picture(made.readings):
            if shown.view.arrangement is not Arrangement.PICTURE:
                self._pieces = [Block(self._backing(laid, made), GROUND), *laid]
            plate = box_of(self._pieces)
            if self._box is not None and not picture.holds(self._box):
                old = self._box
                surface.fill(GROUND, (old.left, old.top, old.width, old.height))
        self._box = plate
        said = self._said_of_key(shown, made, plate)
        if said != self._key_said:  # the spot is read more often than what the key says
            self._key_said, self._images[1] = said, None
            self._key = self._key_of(shown, made, plate)

    def paint(self, surface: pygame.Surface, shown: Shown, made: Layout) -> None:
        """Readings and key, over the picture that was just painted or beside it."""
        area = made.readings
        is_over = made.is_over_picture(area)
        if self._is_fresh and not is_over:
            surface.fill(GROUND, (area.left, area.top, area.width, area.height))
            self._ink.write(self._pieces, shown)
        for index, pieces in enumerate((self._pieces if is_over else [], self._key)):
            image = self._images[index]
            if image is not None:
                surface.blit(*image)
            elif pieces:
                self._images[index] = self._painted(surface, pieces, shown)

    def _painted(self, surface: pygame.Surface, pieces: list[Piece], shown: Shown) -> Stamp:
        """Most frames bring a new picture and the words of the one before."""
        self._ink.write(pieces, shown)
        box = box_of(pieces)
        drawn = surface.subsurface((box.left, box.top, box.width, box.height)).copy()
        return drawn, (box.left, box.top)

    @property
    def ground(self) -> Area | None:
        """What of the picture the backing of the readings hides; None where they have none."""
        first = self._pieces[0] if self._box is not None and self._pieces else None
        return first.area if isinstance(first, Block) and first.colour == GROUND else None

    def free(self, made: Layout) -> Area:
        """Where a note lies over nothing else: on a panel beside the picture, or above its key."""
        if made.panel is not None and not made.is_over_picture(made.panel):
            return made.panel
        tops = [box_of(self._key).top] if self._key else []
        if self._box is not None and self._box.meets(made.clear):
            tops.append(self._box.top)
        return made.clear.above(min(tops, default=made.foot.top)).above(made.foot.top)

    def _readings(self, shown: Shown, made: Layout, *, is_warned: bool) -> list[Piece]:
        area, theme = made.readings, made.theme
        if shown.view.arrangement is Arrangement.PICTURE:
            if not made.is_over_picture(area):  # under it there is room for all of them
                return expose_pieces(shown, area, self._letters, theme)
            inside = area.above(made.foot.top) if is_warned else area
            return plate_pieces(shown, inside, self._letters, theme)
        if shown.view.readings is not Readings.REPORT:
            return expose_pieces(shown, area, self._letters, theme)
        seen = shown.measured  # perhaps no longer believed: then its heading alone is shown
        is_own = seen is not None and seen.view in {None, shown.view}
        report = seen.said.report if seen is not None and seen.said is not None and is_own else None
        return report_pieces(report, shown, area, self._letters, theme)

    def _backing(self, pieces: list[Piece], made: Layout) -> Area:
        """From the edge of the screen to a little beside and below what is written."""
        area, gap = made.readings, made.theme.gap
        bottom = max((self._bottom(piece) for piece in pieces), default=area.top) + gap // 2
        is_left = area.left < made.clear.left
        left = 0 if is_left else area.left - gap
        right = area.right + gap if is_left else made.screen.right
        return Area(left, 0, right - left, min(bottom, area.bottom + gap // 2))

    def _bottom(self, piece: Piece) -> int:
        if isinstance(piece, Text):
            return piece.top + self._letters.height(piece.pixels)
        return piece.area.bottom

    def _said_of_key(self, shown: Shown, made: Layout, plate: Area | None) -> tuple[object, ...]:
        """All that the key is made of."""
        of_stripes = shown.stripes, shown.selected, shown.painted, shown.is_striped, shown.turn
        return (*of_stripes, shown.readable is None, _has_picture(shown), shown.view, made, plate)

    def _key_of(self, shown: Shown, made: Layout, plate: Area | None) -> list[Piece]:
        """What stripes on the picture mean, in the lower corner that is free."""
        if not shown.is_striped or not _has_picture(shown):
            return []
        clear, gap, align = made.clear, made.theme.gap // 2, Align.LEFT
        if shown.view.arrangement is Arrangement.PICTURE and plate is not None:
            clear, align = made.readings.above(plate.bottom), Align.RIGHT
            if key_width(shown, clear, self._letters, made.theme) > clear.right - plate.right - gap:
                clear, align = clear.above(plate.top - gap), Align.LEFT
        elif made.panel is not None and made.clear.holds(made.panel):
            clear = clear.beside(made.panel)
        return key_pieces(shown, clear.inset(gap), align, self._letters, made.theme)


def _has_picture(shown: Shown) -> bool:
    """Whether there is one on the screen, be it an old one."""
    return shown.measured is not None and shown.face is not Face.LOST
