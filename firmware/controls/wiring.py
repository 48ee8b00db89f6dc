"""The wiring as a drawing (SVG), made from a pin map: what goes to which place of the header.

``python -m firmware.controls.wiring [PINS.toml]`` prints it, for pins of one's own too;
``hardware/wiring.svg`` is that of the pins that ship.
"""

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from html import escape
from pathlib import Path

from firmware.controls.gpio_map import RAIL, PinMap, find_pins, read_pins
from firmware.errors import ArgumentError

PLACES = {2: 3, 3: 5, 4: 7, 5: 29, 6: 31, 7: 26, 8: 24, 9: 21, 10: 19, 11: 23, 12: 32, 13: 33}
PLACES |= {14: 8, 15: 10, 16: 36, 17: 11, 18: 12, 19: 35, 20: 38, 21: 40, 22: 15, 23: 16, 24: 18}
PLACES |= {25: 22, 26: 37, 27: 13, 0: 27, 1: 28}
"""BCM number to place on the header (Raspberry Pi documentation, "GPIO and the 40-pin header")."""
GROUNDS = (6, 9, 14, 20, 25, 30, 34, 39)
SUPPLIES = {1: "3.3 V", 17: "3.3 V", 2: "5 V", 4: "5 V"}
"""The same source."""
SERIES_OHM = 330
"""In series with a small lamp: (3.3 V - 2.0 V) / 330 Ω is 4 mA, a quarter of what a pin may give; a
red light-emitting diode takes some 2 V (common practice, no source), others take less current."""

_PITCH, _TOP, _MIDDLE, _HALF = 34, 92, 560, 24
_WIDTH, _REACH = 1120, 330
_HEIGHT = _TOP + 20 * _PITCH + 100
_NOTES = (
    "A button closes its pin to ground; the board's own pull-up holds it.",
    f"R: {SERIES_OHM} Ω for a small lamp (4 mA). T: a transistor, as for all that takes more.",
    "A pin gives 16 mA at the most, all of them together 50 mA.",
    "Power is off while anything is wired. 5 V on a numbered pin destroys the board.",
)


class WiredPart(Enum):
    """What a pin is wired to."""

    BUTTON = "button"
    LAMP = "lamp"
    BUZZER = "buzzer"


@dataclass(frozen=True, slots=True)
class PinWire:
    """One pin that is used."""

    pin: int
    part: WiredPart
    words: str

    @property
    def place(self) -> int:
        """Its place on the header."""
        return PLACES[self.pin]


def wired_pins(pins: PinMap) -> Iterator[PinWire]:
    """Every pin of a map, and what goes there."""
    for pin, name in zip(pins.rail, RAIL, strict=False):
        yield PinWire(pin, WiredPart.BUTTON, f"{name} button under the screen")
    for pin, press in pins.buttons.items():
        yield PinWire(pin, WiredPart.BUTTON, f"button: {press.name.lower().replace('_', ' ')}")
    for pin, name in zip(pins.encoder or (), "AB", strict=False):
        yield PinWire(pin, WiredPart.BUTTON, f"encoder, contact {name}")
    for one, part, words in (
        (pins.encoder_press, WiredPart.BUTTON, "encoder, its button"),
        (pins.lamp, WiredPart.LAMP, "lamp"),
        (pins.buzzer, WiredPart.BUZZER, "buzzer"),
    ):
        if one is not None:
            yield PinWire(one, part, words)
    for pin, colour in zip(pins.colours or (), ("red", "green", "blue"), strict=False):
        yield PinWire(pin, WiredPart.LAMP, f"lamp of three colours, {colour}")
    for pin, side in zip(pins.pair or (), ("over", "under"), strict=False):
        yield PinWire(pin, WiredPart.LAMP, f"lamp for {side}")


def drawing(pins: PinMap) -> str:
    """The drawing as SVG 1.1 (W3C)."""
    wires = {each.place: each for each in wired_pins(pins)}
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDTH}" height="{_HEIGHT}" '
        f'viewBox="0 0 {_WIDTH} {_HEIGHT}" font-family="sans-serif" font-size="14" '
        'stroke-linecap="round">'
    )
    out = [
        head,
        _box(0, 0, _WIDTH, _HEIGHT, 'fill="#fff"'),
        _text(_WIDTH // 2, 34, "What is wired to the 40-pin header", "middle", size=20),
        _text(_WIDTH // 2, 60, "place on the header inside, BCM number beside it", "middle"),
        _box(_MIDDLE - 56, _TOP - 20, 112, 20 * _PITCH + 8, 'rx="8" fill="#e8e8e8"'),
        *(_place(number, wires.get(number)) for number in range(1, 41)),
    ]
    for side in (-1, 1):
        out += _side([each for place, each in wires.items() if _side_of(place) == side], side)
    out += [_text(40, _HEIGHT - 78 + 22 * row, words) for row, words in enumerate(_NOTES)]
    out.append("</svg>")
    return "\n".join(out) + "\n"


def _side_of(place: int) -> int:
    return -1 if place % 2 else 1


def _row(place: int) -> int:
    """The middle of its row."""
    return _TOP + (place - 1) // 2 * _PITCH


def _text(x: int, y: int, words: str, anchor: str = "start", size: int = 14) -> str:
    return f'<text x="{x}" y="{y}" text-anchor="{anchor}" font-size="{size}">{escape(words)}</text>'


def _box(x: int, y: int, width: int, height: int, look: str) -> str:
    return f'<rect x="{x}" y="{y}" width="{width}" height="{height}" {look}/>'


def _line(*points: tuple[int, int], width: int = 2) -> str:
    at = " ".join(f"{x},{y}" for x, y in points)
    return f'<polyline points="{at}" fill="none" stroke="#000" stroke-width="{width}"/>'


def _place(number: int, wire: PinWire | None) -> str:
    """One place of the header with what it is."""
    side, y = _side_of(number), _row(number)
    x = _MIDDLE + side * _HALF
    pins = {place: str(pin) for pin, place in PLACES.items()}
    is_ground = number in GROUNDS
    name = "ground" if is_ground else SUPPLIES.get(number) or pins[number]
    fill, ink = ("#000", "#fff") if wire is not None else ("#fff", "#000")
    look = f'fill="{fill}" stroke="#000" stroke-width="1.5"'
    round_ = f'<circle cx="{x}" cy="{y}" r="13" {look}/>'
    return (
        (_box(x - 13, y - 13, 26, 26, look) if is_ground else round_)
        + f'<text x="{x}" y="{y + 5}" text-anchor="middle" font-size="13" fill="{ink}">'
        + f"{number}</text>"
        + _text(x + side * 38, y - 5, name, "end" if side < 0 else "start", size=12)
    )


def _side(wires: list[PinWire], side: int) -> list[str]:
    """The wires of one side, and the ground they share."""
    if not wires:
        return []
    inner, outer = _MIDDLE + side * (_HALF + 13), _MIDDLE + side * (_HALF + 13 + _REACH)
    rows = [_row(each.place) for each in wires]
    grounds = [place for place in GROUNDS if _side_of(place) == side]
    ground = min(grounds, key=lambda place: abs(_row(place) - max(rows)))
    out = [
        _line((outer, min(*rows, _row(ground))), (outer, max(*rows, _row(ground)))),
        _line((inner, _row(ground)), (outer, _row(ground)), width=3),
    ]
    for each in wires:
        out += _wire(each, inner, outer, side)
    return out


def _wire(wire: PinWire, inner: int, outer: int, side: int) -> list[str]:
    """From its place through the part to the shared ground, with what it is over it."""
    y, part = _row(wire.place), outer - side * 70
    near, far = part - side * 22, part + side * 22
    out = [_line((inner, y), (near, y)), _line((far, y), (outer, y))]
    out.append(f'<circle cx="{outer}" cy="{y}" r="4"/>')
    if wire.part is WiredPart.BUTTON:
        out += [_line((near, y), (far - side * 4, y - 13)), f'<circle cx="{near}" cy="{y}" r="3"/>']
        out.append(f'<circle cx="{far}" cy="{y}" r="3"/>')
    else:
        sign = "lamp" if wire.part is WiredPart.LAMP else "buzzer"
        resistor = "R" if wire.part is WiredPart.LAMP else "T"
        out += [
            f'<circle cx="{part}" cy="{y}" r="13" fill="#fff" stroke="#000" stroke-width="2"/>',
            _box(part - side * 62 - 16, y - 9, 32, 18, 'fill="#fff" stroke="#000"'),
            _text(part - side * 62, y + 5, resistor, "middle", size=12),
            _line((near, y), (part - side * 13, y)),
            _line((part + side * 13, y), (far, y)),
            _text(part, y + 5, "×" if sign == "lamp" else "♪", "middle"),
        ]
    beyond, anchor = outer + side * 14, "end" if side < 0 else "start"
    out.append(_text(beyond, y + 5, wire.words, anchor, size=12))
    return out


if __name__ == "__main__":
    given = Path(sys.argv[1]) if len(sys.argv) > 1 else find_pins()
    if given is None:
        raise SystemExit("midgrey: there is no pin map; name one")
    try:
        sys.stdout.write(drawing(read_pins(given)))
    except ArgumentError as fault:
        raise SystemExit(f"midgrey: {fault}") from None
