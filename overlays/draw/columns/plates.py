"""Words on the picture or over the whole screen: plate, banner, note, alert."""

from overlays.draw.columns.cells import LONGEST_ALARM, alarm_words
from overlays.draw.columns.readouts import WIDEST_STOPS
from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Align, Block, Letters, Piece, Text
from overlays.draw.layout.theme import (
    AMBER,
    GROUND,
    PANEL,
    QUIET,
    RED_WORDS,
    TEAL_WORDS,
    TEXT,
    Colour,
    TextSize,
    Theme,
)
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import BETWEEN, SIMULATED, Alert, Face, Shown
from overlays.measure.spot.spot import SpotReading
from overlays.wording.numbers import UNKNOWN, percent_text, pm_text, stops_text

_SIGNS: dict[Tone, str] = {Tone.ALARM: "!!", Tone.PLAIN: "!", Tone.QUIET: "!"}
_COLOURS: dict[Tone, Colour] = {Tone.ALARM: RED_WORDS, Tone.PLAIN: AMBER, Tone.QUIET: AMBER}


WIDEST_PM = "±0.88 st"
"""As wide as any doubt of a reading that is worth one."""


MAIN_OF_PLATE = 1.5
"""Times the size of other numbers: at an arm's length its figures then are 16 arc minutes high, the
least of ISO 9241-303 (from memory), on every panel of `tests/legible.py`."""
PLATE_SHARE = 0.62
"""Of the picture's width, the most that it takes for that."""


def plate_pieces(shown: Shown, area: Area, letters: Letters, theme: Theme) -> list[Piece]:
    """The small reading on a picture that fills the screen, at its lower left."""
    spot = None if shown.readable is None else shown.readable.spot
    large, small = theme.text_pixels(TextSize.LARGE), theme.text_pixels(TextSize.SMALL)
    pad, gap = theme.gap, theme.gap
    stops = UNKNOWN if spot is None else stops_text(spot.stops, spot.stops_pm, spot.bound)
    pm = ""
    if spot is not None and spot.stops is not None:
        pm = "st" if spot.bound else f"{pm_text(spot.stops_pm, 2)} st"
    percent = UNKNOWN if spot is None else f"{percent_text(spot.percent)} %"
    # Widths of the longest numbers, so that the plate keeps its width while the reading changes.
    beside = gap // 2 + letters.width(WIDEST_PM, small)
    second = letters.width("100.0 %", large)
    room = round(PLATE_SHARE * area.width) - beside - second - 2 * gap - 2 * pad
    main = max(letters.fitting(WIDEST_STOPS, room, round(MAIN_OF_PLATE * large)), large)
    number = letters.width(WIDEST_STOPS, main)
    first = number + beside
    foot = _foot(shown, spot)
    longest = (shown.source.read_as, LONGEST_ALARM, foot)
    widest = max(letters.width(words, small) for words in longest)
    width = max(first + 2 * gap + second, widest) + 2 * pad
    width = min(width, area.width)
    height = letters.height(main) + letters.height(small) + 2 * (pad // 2)
    box = Area(area.left, area.bottom - height, width, height)
    top = box.top + pad // 2
    below = top + letters.height(main)
    fitting = letters.fitting(stops, number, main)
    base = top + letters.base(main)  # the line that all three numbers stand on
    alarm = spot is not None and alarm_words(spot) != ""
    words = letters.cut(foot, small, width - 2 * pad)
    return [
        Block(box, GROUND),
        Text(stops, box.left + pad, base - letters.base(fitting), fitting, TEXT),
        Text(pm, box.left + pad + number + gap // 2, base - letters.base(small), small, QUIET),
        Text(percent, box.left + pad + first + 2 * gap, base - letters.base(large), large, TEXT),
        Text(words, box.left + pad, below, small, RED_WORDS if alarm else QUIET),
    ]


def _foot(shown: Shown, spot: SpotReading | None) -> str:
    source = shown.source
    if spot is not None and (words := alarm_words(spot)):
        return source.marked(words)
    return f"{SIMULATED}{BETWEEN}{source.read_as}" if source.is_simulated else source.read_as


def banner_pieces(shown: Shown, area: Area, letters: Letters, theme: Theme) -> list[Piece]:
    """What is to be known of the whole picture, across its top; nothing while it is live."""
    colours: dict[Face, tuple[Colour, Colour]] = {
        Face.HELD: (TEAL_WORDS, GROUND),
        Face.STALE: (RED_WORDS, GROUND),
        Face.STALLED: (RED_WORDS, GROUND),
        Face.LAMP: (AMBER, GROUND),
        Face.LOST: (RED_WORDS, GROUND),
        Face.STARTING: (PANEL, TEXT),
    }
    if shown.face is Face.LOCKED:
        return _small_banner(shown.face.value.upper(), area, letters, theme)
    found = colours.get(shown.face)
    if found is None:
        return []
    ground, ink = found
    large, small = theme.text_pixels(TextSize.LARGE), theme.text_pixels(TextSize.SMALL)
    pad = theme.gap
    bar = Area(area.left, area.top, area.width, _banner_height(letters, theme))
    name = shown.face.value.upper()
    top = bar.top + pad // 2
    start = bar.left + pad + letters.width(name, large) + 2 * pad
    lower = top + letters.height(large) - letters.height(small) - max(pad // 6, 1)
    said = shown.source.marked(shown.face_words)
    if letters.width(said, small) > bar.right - pad - start:
        # What is missing, and what a start waits for, is said to its end.
        lines = letters.wrapped(said, small, bar.width - 2 * pad)
        row, under = letters.height(small), bar.bottom
        taller = Area(bar.left, bar.top, bar.width, bar.height + len(lines) * row)
        return [
            Block(taller, ground),
            Text(name, bar.left + pad, top, large, ink),
            *(
                Text(line, bar.left + pad, under + n * row, small, ink)
                for n, line in enumerate(lines)
            ),
        ]
    return [
        Block(bar, ground),
        Text(name, bar.left + pad, top, large, ink),
        Text(said, start, lower, small, ink),
    ]


def _small_banner(name: str, area: Area, letters: Letters, theme: Theme) -> list[Piece]:
    """A state that stays for a whole day, in a corner: it covers little of the picture."""
    small, pad = theme.text_pixels(TextSize.SMALL), theme.gap // 2
    height = letters.height(small) + pad
    box = Area(area.left, area.top, letters.width(name, small) + 2 * pad, height)
    return [Block(box, GROUND), Text(name, box.left + pad, box.top + pad // 2, small, TEXT)]


def under_banner(pieces: list[Piece], area: Area) -> Area:
    """What of an area a banner leaves free; all of it without one."""
    top = max((each.area.bottom for each in pieces if isinstance(each, Block)), default=area.top)
    return Area(area.left, top, area.width, max(area.bottom - top, 0))


def note_pieces(words: str, area: Area, letters: Letters, theme: Theme) -> list[Piece]:
    """Something that has just happened, at the lower right of an area."""
    if not words:
        return []
    small, pad = theme.text_pixels(TextSize.SMALL), theme.gap
    row = letters.height(small)
    lines = letters.wrapped(words, small, area.width - 2 * pad)
    width = max(letters.width(line, small) for line in lines) + 2 * pad
    height = row * len(lines) + pad
    box = Area(area.right - width, area.bottom - height, width, height)
    first = box.top + pad // 2
    said = (
        Text(line, box.left + pad, first + n * row, small, TEXT) for n, line in enumerate(lines)
    )
    return [Block(box, PANEL), *said]


def alert_pieces(alert: Alert | None, area: Area, letters: Letters, theme: Theme) -> list[Piece]:
    """The machine's trouble across the top of an area, which begins under the banner if any.

    A mark and words, so that it is told apart without its colour; two marks where it is grave. On
    a picture too narrow for the line it takes another one: what to do is never cut off.
    """
    if alert is None:
        return []
    small, pad = theme.text_pixels(TextSize.SMALL), theme.gap // 2
    if alert.name:
        return _named_alert(alert, area, letters, theme)
    edge = letters.width("!!", small) + 2 * pad
    lines, wide = _broken(alert.words, area.width - edge - 2 * pad, small, letters)
    row = letters.height(small)
    box = Area(area.left, area.top, edge + wide + 2 * pad, row * len(lines) + pad)
    first = box.top + pad // 2
    middle = box.left + edge // 2
    return [
        Block(box, GROUND),
        Block(Area(box.left, box.top, edge, box.height), _COLOURS[alert.tone]),
        Text(_SIGNS[alert.tone], middle, first, small, GROUND, Align.CENTRE),
        *(
            Text(line, box.left + edge + pad, first + index * row, small, TEXT)
            for index, line in enumerate(lines)
        ),
    ]


def _named_alert(alert: Alert, area: Area, letters: Letters, theme: Theme) -> list[Piece]:
    """What it is, as large as the name of a face, over what to do."""
    small, large = theme.text_pixels(TextSize.SMALL), theme.text_pixels(TextSize.LARGE)
    pad, row = theme.gap // 2, letters.height(small)
    title = f"{_SIGNS[alert.tone]} {alert.name}"
    lines, wide = _broken(alert.words, area.width - 4 * pad, small, letters)
    head = letters.height(large) + pad
    width = max(letters.width(title, large), wide) + 4 * pad
    box = Area(area.left, area.top, width, head + row * len(lines) + pad)
    left, under = box.left + 2 * pad, box.top + head + pad // 2
    return [
        Block(box, GROUND),
        Block(Area(box.left, box.top, box.width, head), _COLOURS[alert.tone]),
        Text(title, left, box.top + pad // 2, large, GROUND),
        *(Text(line, left, under + index * row, small, TEXT) for index, line in enumerate(lines)),
    ]


def _broken(words: str, width: int, pixels: int, letters: Letters) -> tuple[list[str], int]:
    """Lines no wider than that, and the width of the widest."""
    lines = letters.wrapped(words, pixels, width)
    return lines, max((letters.width(line, pixels) for line in lines), default=0)


def _banner_height(letters: Letters, theme: Theme) -> int:
    return letters.height(theme.text_pixels(TextSize.LARGE)) + theme.gap


def alert_line(alert: Alert, area: Area, letters: Letters, pixels: int) -> list[Piece]:
    """The machine's trouble in the last line: smaller rather than cut."""
    words = f"{_SIGNS[alert.tone]}  {alert.words}"
    fitting = letters.fitting(words, area.width, pixels)
    top = area.bottom - letters.height(fitting)
    middle = area.left + area.width // 2
    return [Text(words, middle, top, fitting, _COLOURS[alert.tone], Align.CENTRE)]
