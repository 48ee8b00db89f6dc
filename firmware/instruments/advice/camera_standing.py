"""Where the camera stands, and what a press or a command says of it. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from firmware.errors import QuantityError
from firmware.instruments.advice import AdviceOptions
from firmware.profiles.camera_controls import Camera, Controls, controls_of
from firmware.profiles.model import Profile
from firmware.profiles.number_with_unit import parse_level
from firmware.written.spelling import choice
from overlays.measure.expose.advice import Shooting
from overlays.measure.expose.advice_words import Kit
from overlays.measure.expose.mains import Mains
from overlays.measure.expose.sequences import Control, ControlKind
from overlays.signal.quantities import Level


@dataclass(frozen=True, slots=True)
class Standing:
    """Where the camera stands.

    Attributes
    ----------
    target:
        Where the spot should be.
    controls, chosen:
        The camera's controls as they stand, and the index of the one that is moved.
    shooting:
        What a shutter must suit.
    warnings:
        What makes advice less than certain.
    variable_nd:
        Whether there is an ND that can be turned.
    """

    target: Level
    controls: tuple[Control, ...]
    shooting: Shooting
    chosen: int = 0
    warnings: tuple[str, ...] = ()
    variable_nd: bool = False

    @property
    def kit(self) -> Kit:
        """What sentences need to know of it."""
        has_nd = any(control.kind is ControlKind.ND for control in self.controls)
        return Kit(len(self.controls), has_nd, self.variable_nd)


def standing_of(profile: Profile, rate: float) -> Standing:
    """Of a profile, on a feed of `rate` frames a second (0: unknown).

    A shutter in degrees is left out where no rate is known: on the screen nobody could answer.
    """
    camera = profile.camera
    try:
        found = controls_of(camera, rate)
    except QuantityError:
        camera = replace(camera, shutter=replace(camera.shutter, now=None))
        found = controls_of(camera, rate)
    return _standing(profile.target, camera, found, rate)


def standing_asked(options: AdviceOptions, profile: Profile, rate: float) -> Standing:
    """Of a profile, with what the command line says of it.

    Raises
    ------
    FirmwareError
        A setting cannot be understood; one sentence says which.
    """
    target = profile.target if options.target is None else parse_level(options.target)
    camera = profile.camera.standing_at(
        iso=options.iso, aperture=options.aperture, shutter=options.shutter, nd=options.nd
    )
    if options.variable_nd:
        camera = replace(camera, variable_nd=True)
    if options.mains is not None:
        camera = replace(camera, mains=choice(Mains, options.mains, "mains"))
    return _standing(target, camera, controls_of(camera, rate), rate)


def _standing(target: Level, camera: Camera, found: Controls, rate: float) -> Standing:
    return Standing(
        target, found.controls, camera.shooting(rate), 0, found.warnings, camera.variable_nd
    )


def nudged(standing: Standing, by: int) -> Standing:
    """The chosen control's present setting goes a step towards more (positive) or less light."""
    if not standing.controls:
        return standing
    control = standing.controls[standing.chosen]
    order = sorted({*control.allowed, control.now}, key=lambda each: each.stops)
    place = min(max(order.index(control.now) + by, 0), len(order) - 1)
    changed = replace(control, now=order[place])
    before = standing.controls[: standing.chosen]
    behind = standing.controls[standing.chosen + 1 :]
    return replace(standing, controls=(*before, changed, *behind))


def next_chosen(standing: Standing) -> Standing:
    """The next control is the chosen one."""
    return replace(standing, chosen=(standing.chosen + 1) % max(len(standing.controls), 1))


CHOSEN = "chosen"
"""Beside the names of controls, which are none of it."""


def kept_of(standing: Standing) -> dict[str, str]:
    """Where the controls stand, by their names and the labels of their settings."""
    if not standing.controls:
        return {}
    found = {control.kind.value: control.now.label for control in standing.controls}
    return {**found, CHOSEN: standing.controls[standing.chosen].kind.value}


def with_kept(standing: Standing, kept: Mapping[str, str]) -> Standing:
    """The same with controls where they were kept; a setting that there is no more is left."""
    controls, chosen = [], standing.chosen
    for place, control in enumerate(standing.controls):
        label = kept.get(control.kind.value)
        known = {each.label: each for each in (control.now, *control.allowed)}
        controls.append(replace(control, now=known.get(label or "", control.now)))
        if kept.get(CHOSEN) == control.kind.value:
            chosen = place
    return replace(standing, controls=tuple(controls), chosen=chosen)
