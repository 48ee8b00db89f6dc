"""The foot of every view: what makes its numbers less certain, else what is read and how.

It is as wide as the screen, so that a sentence takes a line or two where a column would take six.
No warning is dropped and none is cut: what has no room now waits its turn, and is counted.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from overlays.draw.layout.areas import Area
from overlays.draw.layout.layouts import Layout
from overlays.draw.layout.lettering import Align, Block, Letters, Piece, Text
from overlays.draw.layout.theme import AMBER, GROUND, QUIET, TextSize, Theme
from overlays.draw.layout.views import Arrangement, Readings
from overlays.draw.moment.shown import Shown
from overlays.wording.numbers import typeset

BETWEEN = " · "
"""Between two warnings on the same line."""

_OF_WHAT = re.compile(r"^(?:pin \d+|[AB]): ")
_BRACKETS = re.compile(r" \([^()]*\)")


@dataclass(frozen=True, slots=True)
class Fitted:
    """Lines of warnings as they are now, and how many wait."""

    lines: tuple[str, ...]
    waiting: int = 0


def all_warnings(shown: Shown) -> tuple[str, ...]:
    """Of what the view reads, of the frame and of the feed, each once."""
    said: list[str] = []
    readable, main = shown.readable, ""
    if readable is not None:
        if shown.view.readings is not Readings.REPORT:
            said += () if readable.spot is None else readable.spot.warnings
            said += () if readable.range is None else readable.range.warnings
        report = shown.report
        if report is not None and shown.view.readings is not Readings.SPOT:
            main = report.words
            said += report.warnings
        said += readable.frame.notes
    every = dict.fromkeys([*said, *shown.warnings])
    # A frame may say again what its feed says with a name before it.
    return tuple(
        one
        for one in every
        if one != main and not any(one != other and one in other for other in every)
    )


def short_form(warning: str) -> str:
    """What is the matter, without the why and the remedy behind it.

    Examples
    --------
    >>> short_form("pin 2: 12 % of the spot is clipped (RG): the true light is higher")
    'pin 2: 12 % of the spot is clipped'
    """
    found = _OF_WHAT.match(warning)
    of_what = "" if found is None else found.group()
    head = re.split(r"[:;] ", warning.removeprefix(of_what))[0]
    return of_what + _BRACKETS.sub("", head)


def waiting_words(count: int) -> str:
    """How many are not on the screen at the moment."""
    return f"+{count} more"


@dataclass(frozen=True, slots=True)
class Room:
    """Lines of type of one size: how many, and how wide in pixels."""

    lines: int
    width: int
    letters: Letters
    pixels: int

    def wrapped(self, words: Sequence[str], spare: int = 0) -> list[str]:
        """Words in lines, of which the last leaves `spare` pixels free."""
        lines = self.letters.wrapped(BETWEEN.join(words), self.pixels, self.width)
        if lines and spare and self.letters.width(lines[-1], self.pixels) > self.width - spare:
            lines.append("")
        return lines

    def holds(self, words: Sequence[str], spare: int = 0) -> bool:
        """Whether there is room for them."""
        return len(self.wrapped(words, spare)) <= self.lines


def fitted(warnings: Sequence[str], turn: int, room: Room) -> Fitted:
    """Warnings in the room there is.

    All of them in full where they fit, else all in short, else as many as there is room for, and
    the others at the next turns.

    Parameters
    ----------
    warnings:
        The gravest first.
    turn:
        Goes up by one each time that those who wait should have their turn.
    room:
        At least one line.
    """
    long = [typeset(each) for each in warnings]
    if room.holds(long):
        return Fitted(tuple(room.wrapped(long)))
    short = [typeset(short_form(each)) for each in warnings]
    if room.holds(short):
        return Fitted(tuple(room.wrapped(_lengthened(short, long, room))))
    spare = room.letters.width(waiting_words(len(short)), room.pixels)
    pages = _pages(short, long, room, spare + room.letters.height(room.pixels))
    return pages[turn % len(pages)]


def _lengthened(
    short: Sequence[str], long: Sequence[str], room: Room, spare: int = 0
) -> Sequence[str]:
    """The first ones in full, as long as all of them still fit."""
    out = list(short)
    for place, full in enumerate(long):
        trial = [*out[:place], full, *out[place + 1 :]]
        if room.holds(trial, spare):
            out = trial
    return out


def _pages(short: Sequence[str], long: Sequence[str], room: Room, spare: int) -> list[Fitted]:
    """What is shown turn by turn: each warning on one of them, or over several if it must be."""
    pages: list[Fitted] = []
    start = 0
    while start < len(short):
        end = start + 1
        while end < len(short) and room.holds(short[start : end + 1], spare):
            end += 1
        waiting = len(short) - (end - start)
        words = _lengthened(short[start:end], long[start:end], room, spare)
        if room.holds(words, spare):
            pages.append(Fitted(tuple(room.wrapped(words, spare)), waiting))
        else:
            parts = _parts(words, Room(room.lines, room.width - spare, room.letters, room.pixels))
            # What is only said by parts is whole on none of them, so it waits as well.
            waiting += len(parts) > 1
            pages += [Fitted(part, waiting) for part in parts]
        start = end
    return pages


def _parts(words: Sequence[str], room: Room) -> list[tuple[str, ...]]:
    """What no turn holds whole, in as few parts as will do and of about one length.

    The last part would else be a word or two that say nothing.
    """
    lines = room.wrapped(words)
    count = -(-len(lines) // room.lines)
    for share in range(95, 50, -5):
        narrower = replace(room, width=room.width * share // 100).wrapped(words)
        if -(-len(narrower) // room.lines) > count:
            break
        lines = narrower
    return [tuple(lines[at : at + room.lines]) for at in range(0, len(lines), room.lines)]


class Foot:
    """The foot of one screen, laid anew only where what it says has changed.

    To break its sentences into lines is dearer than to paint them, and most frames bring the
    sentences of the one before.
    """

    def __init__(self, letters: Letters) -> None:
        self._letters = letters
        self._said: tuple[object, ...] = ()
        self._pieces: list[Piece] = []

    def pieces(self, shown: Shown, made: Layout) -> list[Piece]:
        """What `foot_pieces` lays for this moment."""
        said = (all_warnings(shown), shown.turn, shown.source, shown.view.arrangement, made)
        if said != self._said:
            self._said, self._pieces = said, foot_pieces(shown, made, self._letters)
        return self._pieces


def foot_pieces(shown: Shown, made: Layout, letters: Letters) -> list[Piece]:
    """Warnings on the first lines, profile and feed on those that are left.

    In a view whose picture fills the screen there is a foot only while there are warnings: the
    plate on the picture says what it is read with.
    """
    theme, area = made.theme, made.foot
    pixels = theme.text_pixels(TextSize.TINY)
    height = letters.height(pixels)
    warnings = all_warnings(shown)
    pieces: list[Piece] = []
    top = area.top
    if warnings:
        edge = letters.width("!", pixels) + theme.gap
        room = Room(area.height // height, area.width - edge - theme.gap // 2, letters, pixels)
        found = fitted(warnings, shown.turn, room)
        if shown.view.arrangement is Arrangement.PICTURE:
            top = area.bottom - len(found.lines) * height
            area = Area(area.left, top, area.width, area.bottom - top)
        pieces += _warned(found, area, edge, room, theme)
        top += len(found.lines) * height
    if shown.view.arrangement is Arrangement.PICTURE:
        return pieces
    left = (area.bottom - top) // height
    for words in _source_lines(shown, Room(left, area.width, letters, pixels)):
        pieces.append(Text(words, area.left, top, pixels, QUIET))
        top += height
    return pieces


def _warned(found: Fitted, area: Area, edge: int, room: Room, theme: Theme) -> list[Piece]:
    """A sign at the left of the lines, so that they are told from others without their colour."""
    height, count = room.letters.height(room.pixels), len(found.lines)
    bar = Area(area.left, area.top, edge, count * height)
    start = bar.right + theme.gap // 2
    pieces: list[Piece] = [
        Block(Area(area.left, area.top, area.width, bar.height), GROUND),
        Block(bar, AMBER),
        Text("!", bar.left + edge // 2, bar.top, room.pixels, GROUND, Align.CENTRE),
    ]
    for place, words in enumerate(found.lines):
        pieces.append(Text(words, start, area.top + place * height, room.pixels, AMBER))
    if found.waiting:
        words, last = waiting_words(found.waiting), area.top + (count - 1) * height
        pieces.append(Text(words, area.right, last, room.pixels, AMBER, Align.RIGHT))
    return pieces


def _source_lines(shown: Shown, room: Room) -> Sequence[str]:
    """Profile and feed, on as many lines as there are, in as many words as there is room for.

    What is too long in its fewest words takes turns.
    """
    source = shown.source
    if room.lines <= 0:
        return ()
    feeds = [each for each in (source.feed, source.name, source.brief) if each]
    for feed in feeds:
        apart, joined = (source.read_as, feed), (f"{source.read_as}  ·  {feed}",)
        lines = apart if room.lines > 1 else joined
        if all(room.letters.width(line, room.pixels) <= room.width for line in lines):
            return lines
    words = f"{source.read_as} · {feeds[-1]}" if feeds else source.read_as
    parts = room.letters.wrapped(words, room.pixels, room.width)
    pages = max(-(-len(parts) // room.lines), 1)
    start = shown.turn % pages * room.lines
    return parts[start : start + room.lines]
