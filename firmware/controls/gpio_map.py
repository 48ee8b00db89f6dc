"""Which pin does what: `hardware/pins.toml` or one's own, read and checked as a whole."""

import sys
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from firmware.actions import Press
from firmware.errors import ArgumentError
from firmware.written.spelling import offer

PULLED_UP = frozenset({2, 3})
"""I2C pins with resistors of their own; the bridge or an EEPROM may listen there."""
LAST = 27
"""Highest BCM number on the 40-pin header."""
_TABLES = ("rail", "buttons", "encoder", "lamp", "buzzer")
RAIL = ("first", "second", "third", "fourth")
"""The four buttons under the labels along the lower edge, from the left."""
_ENCODER = ("a", "b", "press")
_COLOURS = ("red", "green", "blue")
_PAIR = ("over", "under")


@dataclass(frozen=True, slots=True)
class PinMap:
    """BCM numbers.

    Attributes
    ----------
    buttons:
        Pin to press.
    encoder:
        The encoder's two pins, or None.
    encoder_press:
        Its button's pin, or None.
    lamp:
        The pin of the lamp beside a screen, or None.
    colours, pair:
        Pins of a lamp of red, green and blue, and of two lamps for over and under, or None.
    buzzer:
        Its pin, or None.
    rail:
        The pins of the four buttons under the rail, from the left; none where there are no such.
    """

    buttons: dict[int, Press] = field(default_factory=dict)
    encoder: tuple[int, int] | None = None
    encoder_press: int | None = None
    lamp: int | None = None
    colours: tuple[int, int, int] | None = None
    pair: tuple[int, int] | None = None
    buzzer: int | None = None
    rail: tuple[int, ...] = ()


def shipped_pins() -> Path | None:
    """The pin map that ships: beside the source, or where the installer puts it; None if not."""
    beside = Path(__file__).resolve().parents[2]
    for folder in (beside, Path(sys.prefix).parent / "share"):
        path = folder / "hardware" / "pins.toml"
        if path.is_file():
            return path
    return None


OWN_PINS = "etc/midgrey/pins.toml"
"""A pin map of one's own, which goes over the one that ships."""


def find_pins(root: Path = Path("/")) -> Path | None:
    """The pin map to use: one's own, else the one that ships; None where there is neither."""
    own = root / OWN_PINS
    return own if own.is_file() else shipped_pins()


def read_pins(path: Path) -> PinMap:
    """Read a pin map.

    Raises
    ------
    ArgumentError
        The file cannot be read, or has mistakes; all of them are named, one a line.
    """
    try:
        document = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as fault:
        raise ArgumentError(f"{path}: the pin map cannot be read ({fault.strerror})") from fault
    except (ValueError, RecursionError) as fault:  # no TOML, no text, or nested too deep
        raise ArgumentError(f"{path}: {fault}") from fault
    mistakes = _mistakes(document)
    if mistakes:
        raise ArgumentError("\n".join(f"{path}: {mistake}" for mistake in mistakes))
    rail = document.get("rail", {})
    buttons = {pin: Press[name.upper()] for name, pin in document.get("buttons", {}).items()}
    encoder, lamp = document.get("encoder", {}), document.get("lamp", {})
    return PinMap(
        buttons=buttons,
        encoder=(encoder["a"], encoder["b"]) if encoder else None,
        encoder_press=encoder.get("press"),
        lamp=lamp.get("lamp"),
        colours=(lamp["red"], lamp["green"], lamp["blue"]) if "red" in lamp else None,
        pair=(lamp["over"], lamp["under"]) if "over" in lamp else None,
        buzzer=document.get("buzzer", {}).get("buzzer"),
        rail=tuple(rail[name] for name in RAIL) if rail else (),
    )


def _mistakes(document: Mapping[str, object]) -> list[str]:
    """Every mistake of a pin map, with its key and a remedy."""
    found = []
    users: dict[int, str] = {}
    for table, content in document.items():
        if table not in _TABLES or not isinstance(content, dict):
            found.append(f"{table} is no table of a pin map; {offer(table, _TABLES)}")
            continue
        names = _names_of(table)
        for name, pin in content.items():
            key = f"{table}.{name}"
            if name not in names:
                found.append(f"{key} is unknown; {offer(name, names)}")
            elif not isinstance(pin, int) or isinstance(pin, bool) or not 0 <= pin <= LAST:
                found.append(f"{key} = {pin!r}; a BCM number from 0 to {LAST} is needed")
            elif pin in users:
                found.append(f"{key} = {pin} is already the pin of {users[pin]}")
            elif pin in PULLED_UP:
                found.append(f"{key} = {pin} is an I2C pin; take another")
            else:
                users[pin] = key
    rail = document.get("rail")
    if isinstance(rail, dict) and rail and not set(RAIL) <= set(rail):
        found.append(f"rail needs all four: {', '.join(RAIL)}")
    encoder = document.get("encoder")
    if isinstance(encoder, dict) and encoder and not {"a", "b"} <= set(encoder):
        found.append("encoder needs both a and b")
    lamp = document.get("lamp")
    for names in (_COLOURS, _PAIR):
        given = set(names) & set(lamp if isinstance(lamp, dict) else ())
        if given and given != set(names):
            found.append(f"lamp needs all of {', '.join(names)}, or none of them")
    return found


def _names_of(table: str) -> tuple[str, ...]:
    if table == "buttons":
        return tuple(press.name.lower() for press in Press)
    others = {
        "rail": RAIL,
        "encoder": _ENCODER,
        "lamp": ("lamp", *_COLOURS, *_PAIR),
        "buzzer": ("buzzer",),
    }
    return others[table]
