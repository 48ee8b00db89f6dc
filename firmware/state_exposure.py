"""What presses do to pins, marks and the camera's controls. Pure, as all of the state."""

from dataclasses import dataclass, replace

from firmware.errors import QuantityError
from firmware.profiles.camera_controls import Camera, controls_of
from firmware.profiles.model import Profile
from firmware.reported import Asked, PinPlace, Wishes
from overlays.draw.layout.views import View
from overlays.measure.expose.sequences import Control
from overlays.measure.pins.lighting import MOST_PINS
from overlays.measure.spot.spot import SpotPlace, default_size


@dataclass(frozen=True, slots=True)
class Setup:
    """Pins, marks, and where the camera stands.

    Attributes
    ----------
    pins:
        Spots that stay, in the order of their numbers.
    controls, chosen:
        The camera's controls as they stand, and the one that is moved in the advice view.
    taken, marked:
        How often camera A was taken to match, and a mark set to watch from.
    asked:
        What the pins are asked for in their view.
    """

    pins: tuple[PinPlace, ...] = ()
    controls: tuple[Control, ...] = ()
    chosen: int = 0
    taken: int = 0
    marked: int = 0
    asked: Asked = Asked.RATIOS


def pressed(setup: Setup, view: View, press: str) -> Setup | None:
    """The setup after a press by its name; None where it means nothing special in this view."""
    by = {"STRIPE_UP": 1, "STRIPE_DOWN": -1}.get(press)
    if view is View.ADVICE:
        if press == "NEXT_STRIPE":
            return next_control(setup)
        return None if by is None else nudge_control(setup, by)
    if view is View.PINS:
        if press == "NEXT_STRIPE":
            asked = Asked.RATIOS if setup.asked is Asked.EVENNESS else Asked.EVENNESS
            return replace(setup, asked=asked)
        if by is not None and setup.asked is Asked.EVENNESS:
            return setup  # stripes that nobody sees stay as they are
    return None


def wishes_of(setup: Setup, view: View, profile: Profile) -> Wishes:
    """What reports are to be made of."""
    return Wishes(
        view,
        profile,
        setup.pins,
        setup.controls,
        setup.chosen,
        setup.taken,
        setup.marked,
        setup.asked,
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


def with_profile(setup: Setup, profile: Profile, columns: int, rows: int) -> Setup:
    """Pins and controls of another profile."""
    return replace(
        setup,
        pins=pins_for(profile, columns, rows),
        controls=controls_for(profile.camera),
        chosen=0,
    )


def resized(setup: Setup, before: tuple[int, int], after: tuple[int, int]) -> Setup:
    """Pins keep their place and their share on a picture of another size (columns, rows)."""
    across, down = after[0] / before[0], after[1] / before[1]
    pins = []
    for pin in setup.pins:
        place = pin.place
        size = max(2 * round(place.size * down / 2.0), 2)
        moved = inside(round(place.column * across), round(place.row * down), size, *after)
        pins.append(PinPlace(pin.name, moved))
    return replace(setup, pins=tuple(pins))


def set_pin(setup: Setup, spot: SpotPlace) -> Setup:
    """A pin where the spot is; the eighth is moved there when there are eight."""
    return replace(setup, pins=(*setup.pins[: MOST_PINS - 1], PinPlace("", spot)))


def lift_pin(setup: Setup) -> Setup:
    """The last pin goes."""
    return replace(setup, pins=setup.pins[:-1])


def mark(setup: Setup, view: View) -> Setup:
    """In the match view the picture is taken as camera A; elsewhere the watch begins anew."""
    if view is View.MATCH:
        return replace(setup, taken=setup.taken + 1)
    return replace(setup, marked=setup.marked + 1)


def nudge_control(setup: Setup, by: int) -> Setup:
    """The chosen control's present setting goes a step towards more (positive) or less light."""
    if not setup.controls:
        return setup
    control = setup.controls[setup.chosen]
    order = sorted({*control.allowed, control.now}, key=lambda each: each.stops)
    place = min(max(order.index(control.now) + by, 0), len(order) - 1)
    changed = replace(control, now=order[place])
    before, behind = setup.controls[: setup.chosen], setup.controls[setup.chosen + 1 :]
    return replace(setup, controls=(*before, changed, *behind))


def next_control(setup: Setup) -> Setup:
    """The next control is the chosen one."""
    return replace(setup, chosen=(setup.chosen + 1) % max(len(setup.controls), 1))
