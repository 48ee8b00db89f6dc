"""The camera's controls: what a profile and a command line say of them, as controls for advice.

A control is advised on only where its present setting is known. Where its limits are not, the
standard sequence stands in for them, and that is said.
"""

from dataclasses import dataclass, field, replace
from itertools import combinations

from firmware.profiles.settings_text import parse_setting
from overlays.measure.expose.advice import Shooting
from overlays.measure.expose.mains import Mains, safe_seconds
from overlays.measure.expose.sequences import (
    APERTURE_NUMBERS,
    ISO_NUMBERS,
    ND_DENSITIES,
    SHUTTER_ANGLES_DEG,
    SHUTTER_TIMES,
    Control,
    ControlKind,
    Setting,
    aperture,
    density,
    density_in_stops,
    iso,
    shutter_angle,
    shutter_time,
    stacked,
)


@dataclass(frozen=True, slots=True)
class Limits:
    """What is known of one control, each setting as it is written.

    Attributes
    ----------
    now:
        Where it stands; None where nobody said, and then nothing is advised.
    lowest, highest:
        Numbers the sequence of the control is cut at; None leaves it whole.
    only:
        All its settings, where they are no sequence.
    every:
        1 for each third of a stop, 3 for whole stops.
    filters:
        Filters that are put in alone or two at a time.
    """

    now: str | None = None
    lowest: str | None = None
    highest: str | None = None
    only: tuple[str, ...] = ()
    every: int = 1
    filters: tuple[str, ...] = ()

    @property
    def is_known(self) -> bool:
        """Whether anything is known of where it can be put."""
        return bool(self.only or self.filters) or (
            self.lowest is not None and self.highest is not None
        )


@dataclass(frozen=True, slots=True)
class Camera:
    """What is known of a camera's controls, its rate in frames a second and the lamps' mains.

    `variable_nd` says whether there is an ND that can be turned, for what is left.
    """

    rate: float | None = None
    mains: Mains = Mains.UNKNOWN
    nd: Limits = field(default_factory=Limits)
    aperture: Limits = field(default_factory=Limits)
    iso: Limits = field(default_factory=Limits)
    shutter: Limits = field(default_factory=Limits)
    variable_nd: bool = False

    def limits(self, kind: ControlKind) -> Limits:
        """What is known of one control."""
        limits: Limits = getattr(self, kind.value)
        return limits

    def standing_at(self, **now: str | None) -> "Camera":
        """The camera with its present settings (`iso="800"`); None keeps what was known."""
        changed = {
            name: replace(getattr(self, name), now=text)
            for name, text in now.items()
            if text is not None
        }
        return replace(self, **changed)

    def shooting(self, feed_rate: float) -> Shooting:
        """What a shutter must suit; the feed's rate where the profile gives none (0: unknown)."""
        return Shooting(self.rate or feed_rate or None, self.mains)


@dataclass(frozen=True, slots=True)
class Controls:
    """The controls that can be advised on, and what makes that less than certain."""

    controls: tuple[Control, ...]
    warnings: tuple[str, ...]


def controls_of(camera: Camera, feed_rate: float) -> Controls:
    """The controls whose present setting is known.

    Raises
    ------
    QuantityError
        A setting cannot be understood; the sentence names the control.
    """
    rate = camera.rate or feed_rate or None
    controls, unknown = [], []
    for kind in ControlKind:
        limits = camera.limits(kind)
        if limits.now is None:
            continue
        now = parse_setting(kind, limits.now, rate)
        controls.append(Control(kind, now, _allowed(kind, limits, now, camera, rate)))
        if not limits.is_known:
            unknown.append(kind.value)
    warnings = []
    if unknown:
        warnings.append(
            f"the camera's limits of {', '.join(unknown)} are unknown, the standard sequences were "
            "taken: write them in the profile under [camera]"
        )
    shutters = any(control.kind is ControlKind.SHUTTER for control in controls)
    if shutters and camera.mains is Mains.UNKNOWN:
        warnings.append(
            'the mains of the lamps are unknown: write [camera] mains = "50 Hz", "60 Hz" or "none" '
            "in the profile, or give --mains"
        )
    return Controls(tuple(controls), tuple(warnings))


def _allowed(
    kind: ControlKind, limits: Limits, now: Setting, camera: Camera, rate: float | None
) -> tuple[Setting, ...]:
    """Where a control can be put, from least to most light."""
    if limits.filters:
        alone = [parse_setting(kind, text, rate) for text in limits.filters]
        # The fewer filters the better: those written last take the place of the same light.
        settings = [*(stacked(two) for two in combinations(alone, 2)), *alone, density(0.0)]
    elif limits.only:
        settings = [parse_setting(kind, text, rate) for text in limits.only]
    else:
        settings = _sequence(kind, limits, now, camera, rate)
        ends = [
            parse_setting(kind, text, rate).stops
            for text in (limits.lowest, limits.highest)
            if text is not None
        ]
        if len(ends) == 2:
            low, high = sorted(ends)
            settings = [each for each in settings if low - 1e-9 <= each.stops <= high + 1e-9]
    unique = {round(each.stops, 6): each for each in settings}
    return tuple(unique[stops] for stops in sorted(unique))


def _sequence(
    kind: ControlKind, limits: Limits, now: Setting, camera: Camera, rate: float | None
) -> list[Setting]:
    """The standard sequence of a control, in the steps and of the make of its present setting."""
    if kind is ControlKind.ISO:
        # ISO 100 is the seventh name; whole stops are counted from there.
        return [iso(number) for number in ISO_NUMBERS[:: limits.every]]
    if kind is ControlKind.APERTURE:
        letter = "T" if now.label.startswith("T") else "f/"
        return [aperture(number, letter) for number in APERTURE_NUMBERS[:: limits.every]]
    if kind is ControlKind.ND:
        if isinstance(now.value, str):
            return [density_in_stops(float(number)) for number in range(11)]
        return [density(number) for number in ND_DENSITIES[:: limits.every]]
    if now.label.endswith("deg") and rate is not None:
        safe = [360.0 * rate * each for each in safe_seconds(camera.mains, rate)]
        return [shutter_angle(angle, rate) for angle in {*SHUTTER_ANGLES_DEG, *safe}]
    return [shutter_time(1.0 / below) for below in SHUTTER_TIMES]
