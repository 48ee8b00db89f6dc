"""What presses do to pins, marks and the camera's controls. Pure, as all of the state."""

from dataclasses import replace
from typing import TYPE_CHECKING

from firmware.camera import Camera, controls_of
from firmware.errors import QuantityError
from firmware.profiles.model import Profile
from firmware.reported import PinPlace, Wishes
from overlays.draw.views import View
from overlays.measure.pins import MOST_PINS
from overlays.measure.sequences import Control
from overlays.measure.spot import SpotPlace, default_size

if TYPE_CHECKING:
    from firmware.state import State


def wishes_of(state: "State") -> Wishes:
    """The part of a state that concerns reports."""
    return Wishes(
        view=state.view,
        profile=state.in_use,
        pins=state.pins,
        controls=state.controls,
        chosen=state.control,
        taken=state.taken,
        marked=state.marked,
    )


def controls_for(camera: Camera) -> tuple[Control, ...]:
    """The controls of a profile's camera; none where its shutter needs a rate it does not give."""
    try:
        return controls_of(camera, 0.0).controls
    except QuantityError:
        without = controls_of(replace(camera, shutter=replace(camera.shutter, now=None)), 0.0)
        return without.controls


def pins_for(profile: Profile, columns: int, rows: int) -> tuple[PinPlace, ...]:
    """The pins of a profile on a picture, each wholly inside it."""
    size = min(default_size(rows, profile.spot_percent / 100.0), columns, rows)
    return tuple(
        PinPlace(name, inside(int(x * columns), int(y * rows), size, columns, rows))
        for name, x, y in profile.pins
    )


def inside(column: int, row: int, size: int, columns: int, rows: int) -> SpotPlace:
    """The spot nearest to a place that lies wholly inside the picture."""
    size = max(min(size, columns, rows), 2)
    half = size // 2
    return SpotPlace(
        min(max(column, half), columns - size + half),
        min(max(row, half), rows - size + half),
        size,
    )


def with_profile(state: "State") -> "State":
    """Pins and controls of the profile in use."""
    profile = state.in_use
    return replace(
        state,
        pins=pins_for(profile, state.columns, state.rows),
        controls=controls_for(profile.camera),
        control=0,
    )


def resized_pins(state: "State", columns: int, rows: int) -> tuple[PinPlace, ...]:
    """Pins keep their place and their share of a picture of another size."""
    across, down = columns / state.columns, rows / state.rows
    out = []
    for pin in state.pins:
        place = pin.place
        size = max(min(2 * round(place.size * down / 2.0), columns, rows), 2)
        moved = inside(round(place.column * across), round(place.row * down), size, columns, rows)
        out.append(PinPlace(pin.name, moved))
    return tuple(out)


def set_pin(state: "State") -> "State":
    """A pin where the spot is; the eighth is moved there when there are eight."""
    pins = state.pins[: MOST_PINS - 1]
    return replace(state, pins=(*pins, PinPlace("", state.spot)))


def lift_pin(state: "State") -> "State":
    """The last pin goes."""
    return replace(state, pins=state.pins[:-1])


def mark(state: "State") -> "State":
    """In the match view the picture is taken as camera A; elsewhere the watch begins anew."""
    if state.view is View.MATCH:
        return replace(state, taken=state.taken + 1)
    return replace(state, marked=state.marked + 1)


def nudge_control(state: "State", by: int) -> "State":
    """The chosen control's present setting goes a step towards more (positive) or less light."""
    if not state.controls:
        return state
    control = state.controls[state.control]
    order = sorted({*control.allowed, control.now}, key=lambda each: each.stops)
    place = min(max(order.index(control.now) + by, 0), len(order) - 1)
    changed = replace(control, now=order[place])
    before, behind = state.controls[: state.control], state.controls[state.control + 1 :]
    return replace(state, controls=(*before, changed, *behind))


def next_control(state: "State") -> "State":
    """The next control is the chosen one."""
    return replace(state, control=(state.control + 1) % max(len(state.controls), 1))
