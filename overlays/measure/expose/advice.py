"""Advice: from how far a spot is off to the moves of the camera's controls that put it right."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.expose.mains import Mains, fits_a_frame, flicker_note, flickers, motion_note
from overlays.measure.expose.sequences import Control, ControlKind, Setting
from overlays.measure.spot.spot import SpotReading
from overlays.signal.quantities import Level, Unit

NEAR_STOPS = 0.2
"""What may be left without another control being asked for: half a third of a stop, and what
nominal markings are rounded by."""

_REACH_STOPS = 24.0
"""How far a percent is searched for, either way."""

_ORDER = (ControlKind.ND, ControlKind.APERTURE, ControlKind.ISO, ControlKind.SHUTTER)
"""Which control is asked first where several come near enough: the one that changes the picture
least. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Move:
    """One control from where it stands to where it should go.

    Attributes
    ----------
    kind, start, to:
        The control, and its two settings.
    steps:
        How many of the control's settings that is; positive is towards more light.
    change_stops:
        What the move does to the light.
    residual_stops:
        What the spot is off by after it, for a variable ND: positive is still too bright.
    notes:
        What else the move changes, in words.
    """

    kind: ControlKind
    start: Setting
    to: Setting
    steps: int
    change_stops: float
    residual_stops: float
    notes: tuple[str, ...] = ()

    @property
    def is_near(self) -> bool:
        """Whether a variable ND, or nothing at all, need follow."""
        return abs(self.residual_stops) <= NEAR_STOPS


@dataclass(frozen=True, slots=True)
class Shooting:
    """What a shutter must suit: frames a second (None where unknown) and the lamps' mains."""

    rate: float | None = None
    mains: Mains = Mains.UNKNOWN


def off_target(
    spot: SpotReading, target: Level, yard: Yardstick
) -> tuple[float | None, float | None]:
    """How far a spot lies above its target in stops of light, with its ±; None where unknown.

    A target in percent is reached when the spot's luma is there: for a coloured spot that is
    searched through the curve, channel by channel, since its luma and its luminance differ.

    Parameters
    ----------
    spot:
        What was read.
    target:
        In stops from mid-grey or in percent of video level.
    yard:
        What it was read with.

    Returns
    -------
    tuple
        (stops, 95 % half width in stops); positive is too bright.
    """
    if spot.stops is None:
        return None, None
    if target.unit is Unit.STOPS:
        return spot.stops - target.number, spot.stops_pm
    light = np.maximum(np.array(spot.rgb_linear), 0.0)

    def percent_after(change: float) -> float:
        return 100.0 * float(yard.weights @ yard.carried.nominal(light * 2.0**change))

    low, high = -_REACH_STOPS, _REACH_STOPS
    if not percent_after(low) <= target.number <= percent_after(high):
        return None, None
    while high - low > 1e-9:
        middle = (low + high) / 2.0
        low, high = (middle, high) if percent_after(middle) < target.number else (low, middle)
    return 0.0 - (low + high) / 2.0, spot.stops_pm


def usable(control: Control, shooting: Shooting) -> tuple[Setting, ...]:
    """The settings that may be advised: a shutter no longer than a frame and without flicker.

    Parameters
    ----------
    control:
        With all it can be put to.
    shooting:
        Rate and mains that a shutter must suit.

    Returns
    -------
    tuple[Setting, ...]
        In the order of `control.allowed`.
    """
    if control.kind is not ControlKind.SHUTTER:
        return control.allowed
    return tuple(
        each
        for each in control.allowed
        if each.seconds is not None
        and fits_a_frame(each.seconds, shooting.rate)
        and not flickers(each.seconds, shooting.mains)
    )


def best_move(off_stops: float, control: Control, shooting: Shooting) -> Move | None:
    """The move of one control alone that comes nearest; None where staying is as good.

    Parameters
    ----------
    off_stops:
        How far above its target the spot lies, in stops.
    control:
        Where it stands and can be put.
    shooting:
        Rate and mains that a shutter must suit.

    Returns
    -------
    Move | None
        Of two that come as near, the one that changes less light.
    """
    now = control.now
    choices = usable(control, shooting)
    if not choices:
        return None

    def left(setting: Setting) -> float:
        return off_stops + setting.stops - now.stops

    to = min(choices, key=lambda each: (abs(left(each)), abs(each.stops - now.stops)))
    if abs(left(to)) >= abs(off_stops) - 1e-9:
        return None
    return Move(
        kind=control.kind,
        start=now,
        to=to,
        steps=_steps(choices, now, to),
        change_stops=to.stops - now.stops,
        residual_stops=left(to),
        notes=tuple(_notes(control.kind, now, to, shooting)),
    )


def _steps(choices: Sequence[Setting], start: Setting, to: Setting) -> int:
    """Settings passed on the way, the last included."""
    low, high = sorted((start.stops, to.stops))
    passed = sum(low + 1e-9 < each.stops < high - 1e-9 for each in choices) + 1
    return passed if to.stops > start.stops else -passed


def _notes(kind: ControlKind, now: Setting, to: Setting, shooting: Shooting) -> Iterable[str]:
    lighter = to.stops > now.stops
    if kind is ControlKind.APERTURE:
        yield "depth of field gets " + ("shallower" if lighter else "deeper")
    elif kind is ControlKind.ISO:
        yield "more noise" if lighter else "less noise, and highlights may clip earlier"
    elif now.seconds is not None and to.seconds is not None:
        motion = motion_note(now.seconds, to.seconds)
        if motion is not None:
            yield motion
        flicker = flicker_note(to.seconds, shooting.mains)
        if flicker is not None:
            yield flicker


def single_moves(
    off_stops: float, controls: Iterable[Control], shooting: Shooting
) -> tuple[Move, ...]:
    """One move for each control that helps, each meant alone, the best first.

    Those that come near enough stand in the order of what they change in the picture least (ND,
    aperture, ISO, shutter); behind them the others, by what they leave.

    Parameters
    ----------
    off_stops:
        How far above its target the spot lies, in stops.
    controls:
        Those whose present setting is known.
    shooting:
        Rate and mains that a shutter must suit.

    Returns
    -------
    tuple[Move, ...]
        Alternatives.
    """
    moves = [move for each in controls if (move := best_move(off_stops, each, shooting))]
    return tuple(
        sorted(
            moves,
            key=lambda move: (
                0.0 if move.is_near else abs(move.residual_stops),
                _ORDER.index(move.kind),
            ),
        )
    )


def joined_moves(
    off_stops: float, controls: Sequence[Control], shooting: Shooting
) -> tuple[Move, ...]:
    """Moves to be made together where no single one comes near enough; else none.

    Each control in turn goes as near as it can to what those before it left.

    Parameters
    ----------
    off_stops:
        How far above its target the spot lies, in stops.
    controls:
        Those whose present setting is known.
    shooting:
        Rate and mains that a shutter must suit.

    Returns
    -------
    tuple[Move, ...]
        Two or more in the order to make them, or none.
    """
    singles = single_moves(off_stops, controls, shooting)
    if any(move.is_near for move in singles) or len(singles) < 2:
        return ()
    left, made = off_stops, []
    for kind in _ORDER:
        for control in (each for each in controls if each.kind is kind):
            move = best_move(left, control, shooting)
            if move is not None and abs(left) > NEAR_STOPS:
                made.append(move)
                left = move.residual_stops
    return tuple(made) if len(made) > 1 else ()


def present_notes(controls: Iterable[Control], shooting: Shooting) -> tuple[str, ...]:
    """What is wrong with the settings as they are: a shutter that flickers or outlasts a frame.

    Parameters
    ----------
    controls:
        As they stand.
    shooting:
        Rate and mains that a shutter must suit.

    Returns
    -------
    tuple[str, ...]
        Sentences without a full stop.
    """
    out = []
    for control in controls:
        seconds = control.now.seconds
        if seconds is None:
            continue
        if not fits_a_frame(seconds, shooting.rate):
            out.append(f"the present shutter, {control.now.label}, is longer than a frame")
        flicker = flicker_note(seconds, shooting.mains)
        if flicker is not None:
            out.append(f"the present shutter, {control.now.label}, {flicker}")
    return tuple(out)


def total_change(moves: Iterable[Move]) -> float:
    """What moves made together do to the light, in stops.

    Parameters
    ----------
    moves:
        Any number.
    """
    return math.fsum(move.change_stops for move in moves)
