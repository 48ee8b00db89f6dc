"""Where a thing lies that the spot is sent to; what cannot be found is said."""

from dataclasses import dataclass, replace

from firmware.actions import Aim, PlaceSpot
from firmware.instruments.desk import CHIPS, Desk
from firmware.live.state import State, after
from overlays.draw.moment.shown import Measured
from overlays.measure.card.card import find_card
from overlays.measure.card.three import find_chips
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.gamuts import Gamut

NO_PICTURE = "there is no picture to look in"


@dataclass(frozen=True, slots=True)
class Gone:
    """Where the spot is to be, if anywhere, and what is said of it."""

    to: PlaceSpot | None
    words: str


def sent(state: State, seen: Measured | None, gamut: Gamut) -> tuple[State, str]:
    """The state with the spot on what it was sent to, or as it was, and what to say of it.

    Parameters
    ----------
    state:
        What is sought, the pins, and the spot: of pins and chips the next from there is meant.
    seen:
        What can be read on the screen; None while there is nothing.
    gamut:
        What the feed's R, G, B mean: decides what is neutral.
    """
    if state.sought is Aim.CHIP and state.desk.chips() is None and seen is not None:
        return _to_three(state, seen, gamut)
    if state.sought in {Aim.CHIP, Aim.PIN}:
        gone = _to_pin(state.spot, state.desk, is_chip=state.sought is Aim.CHIP)
    elif seen is None or state.sought is None:
        gone = Gone(None, NO_PICTURE)
    elif state.sought is Aim.CARD:
        gone = _to_card(seen, gamut, state.spot.size)
    else:
        gone = _to_thing(state.sought, seen)
    return state if gone.to is None else after(state, gone.to), gone.words


def _at(column: int, row: int, words: str) -> Gone:
    return Gone(PlaceSpot(column, row), f"spot on {words}")


def _to_card(seen: Measured, gamut: Gamut, size: int) -> Gone:
    found = find_card(seen.frame, seen.yard, gamut, size)
    place, words = found.place, found.words
    return Gone(None, words) if place is None else _at(place.column, place.row, words)


def _to_three(state: State, seen: Measured, gamut: Gamut) -> tuple[State, str]:
    """Pins on the three chips, and the spot on the grey one, where they are found."""
    found = find_chips(seen.frame, seen.yard, gamut, state.spot.size)
    if found.places is None:
        return state, found.words
    grey = found.places[1]
    state = replace(state, desk=state.desk.with_chips(found.places))
    words = f"pins set on {found.words}: look whether they are the chips"
    return after(state, PlaceSpot(grey.column, grey.row)), words


def _to_thing(thing: Aim, seen: Measured) -> Gone:
    """The brightest or the darkest thing as they were read last, or the centre."""
    name = f"the {thing.value}"
    if thing is Aim.CENTRE:
        return _at(seen.frame.columns // 2, seen.frame.rows // 2, name)
    if seen.range is None:
        return Gone(None, f"{name} is not known")
    lies = seen.range.brightest if thing is Aim.BRIGHTEST else seen.range.darkest
    return _at(lies.column, lies.row, name)


def _to_pin(spot: SpotPlace, desk: Desk, *, is_chip: bool) -> Gone:
    """The next pin, or the next of those that lie on chips."""
    numbers = desk.chips() or () if is_chip else tuple(range(1, len(desk.pins) + 1))
    if not numbers:
        missing = "no pins are set on the three chips" if is_chip else "no pin is set"
        return Gone(None, missing)
    places = [desk.pins[number - 1].place for number in numbers]
    here = (spot.column, spot.row)
    at = next((n for n, each in enumerate(places) if (each.column, each.row) == here), -1)
    on = (at + 1) % len(numbers)
    place, name = places[on], desk.pins[numbers[on] - 1].name
    words = f"pin {numbers[on]}, {name}" if name else f"pin {numbers[on]}"
    return _at(place.column, place.row, f"the {CHIPS[on]} chip" if is_chip else words)
