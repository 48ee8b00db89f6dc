"""Advice: from how far a spot is off to the moves of the camera's controls that put it right."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from overlays.measure.expose.mains import Mains, fits_a_frame, flicker_note, flickers, motion_note
from overlays.measure.expose.sequences import Control, ControlKind, Setting

NEAR_STOPS = 0.2
"""What may be left without another control being asked for: half a third of a stop, and what
nominal markings are rounded by."""

LOOK_STOPS = 1.5
"""A change of aperture above it changes the look, and of gain or shutter no less; ND and the light
come first then (common practice, no source)."""

_ORDER = (ControlKind.ND, ControlKind.APERTURE, ControlKind.ISO, ControlKind.SHUTTER)
"""Which control is asked first: what changes the picture least (common practice, no source)."""


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
    is_at_end:
        Whether it leaves an aperture or a gain at the end of its scale, with nothing in hand.

    Examples
    --------
    >>> from overlays.measure.expose.sequences import iso
    >>> up = Move(ControlKind.ISO, iso(400), iso(1600), 6, change_stops=2.0, residual_stops=-0.1)
    >>> up.is_near, up.changes_the_look  # 0.1 stop is left; two stops of gain show
    (True, True)
    """

    kind: ControlKind
    start: Setting
    to: Setting
    steps: int
    change_stops: float
    residual_stops: float
    notes: tuple[str, ...] = ()
    is_at_end: bool = False

    @property
    def changes_the_look(self) -> bool:
        """Whether ND and the light should give way before it does."""
        return self.kind is not ControlKind.ND and abs(self.change_stops) > LOOK_STOPS

    @property
    def is_a_last_resort(self) -> bool:
        """Whether anything else is to be thought of first."""
        return self.is_at_end or self.changes_the_look

    @property
    def is_near(self) -> bool:
        """Whether a variable ND, or nothing at all, need follow."""
        return abs(self.residual_stops) <= NEAR_STOPS


@dataclass(frozen=True, slots=True)
class Shooting:
    """What a shutter must suit: frames a second (None where unknown) and the lamps' mains."""

    rate: float | None = None
    mains: Mains = Mains.UNKNOWN


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

    Examples
    --------
    >>> from overlays.measure.expose.sequences import shutter_time
    >>> times = tuple(shutter_time(1.0 / n) for n in (60, 50, 24))
    >>> shutter = Control(ControlKind.SHUTTER, times[1], times)
    >>> [each.label for each in usable(shutter, Shooting(rate=25.0, mains=Mains.HZ50))]
    ['1/50 s']
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


def best_move(
    off_stops: float, control: Control, shooting: Shooting, *, gently: bool = False
) -> Move | None:
    """The move of one control alone that comes nearest; None where staying is as good.

    Parameters
    ----------
    off_stops:
        How far above its target the spot lies, in stops.
    control:
        Where it stands and can be put.
    shooting:
        Rate and mains that a shutter must suit.
    gently:
        Whether what changes the look and the ends of a scale are left out.

    Returns
    -------
    Move | None
        Of two that come as near, the one that changes less light.

    Examples
    --------
    >>> from overlays.measure.expose.sequences import aperture
    >>> stops = tuple(aperture(n) for n in (16.0, 11.0, 8.0, 5.6, 4.0, 2.8))
    >>> lens = Control(ControlKind.APERTURE, aperture(5.6), stops)
    >>> best_move(1.0, lens, Shooting()).to.label  # a stop too bright
    'f/8'
    """
    now = control.now
    choices = usable(control, shooting)
    if gently:
        choices = tuple(each for each in choices if _is_gentle(control, each))
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
        steps=_steps(usable(control, shooting), now, to),
        change_stops=to.stops - now.stops,
        residual_stops=left(to),
        notes=tuple(_notes(control.kind, now, to, shooting)),
        is_at_end=_is_at_end(control, to),
    )


def _is_at_end(control: Control, to: Setting) -> bool:
    """Of an aperture or a gain; a filter taken out is none, nor a shutter that suits the mains."""
    if control.kind not in {ControlKind.APERTURE, ControlKind.ISO} or len(control.allowed) < 3:
        return False
    return to.stops in {control.allowed[0].stops, control.allowed[-1].stops}


def _is_gentle(control: Control, to: Setting) -> bool:
    change = abs(to.stops - control.now.stops)
    is_look = control.kind is not ControlKind.ND and change > LOOK_STOPS
    return not is_look and not _is_at_end(control, to)


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
    aperture, ISO, shutter), those that are a last resort behind them; then the others, by what
    they leave.

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

    Examples
    --------
    >>> from overlays.measure.expose.sequences import aperture, iso
    >>> stops = tuple(aperture(n) for n in (16.0, 11.0, 8.0, 5.6, 4.0, 2.8))
    >>> lens = Control(ControlKind.APERTURE, aperture(5.6), stops)
    >>> gain = Control(ControlKind.ISO, iso(800), tuple(iso(n) for n in (200, 400, 800, 1600)))
    >>> [move.to.label for move in single_moves(1.0, [gain, lens], Shooting())]
    ['f/8', 'ISO 400']
    """
    moves = [move for each in controls if (move := best_move(off_stops, each, shooting))]
    return tuple(
        sorted(
            moves,
            key=lambda move: (
                0.0 if move.is_near else abs(move.residual_stops),
                move.is_at_end,
                move.changes_the_look,
                _ORDER.index(move.kind),
            ),
        )
    )


def joined_moves(
    off_stops: float, controls: Sequence[Control], shooting: Shooting
) -> tuple[Move, ...]:
    """Moves to be made together where no single one will do; else none.

    Each control goes as near as it can to what those before it left: with what changes the picture
    little, then with all there is. A last resort gives way to several moves that are none.

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

    Examples
    --------
    >>> from overlays.measure.expose.sequences import aperture, iso
    >>> stops = tuple(aperture(n) for n in (11.0, 8.0, 5.6, 4.0))
    >>> lens = Control(ControlKind.APERTURE, aperture(5.6), stops)
    >>> gain = Control(ControlKind.ISO, iso(800), tuple(iso(n) for n in (200, 400, 800, 1600)))
    >>> [move.to.label for move in joined_moves(4.0, [gain, lens], Shooting())]
    ['f/11', 'ISO 200']
    """
    singles = single_moves(off_stops, controls, shooting)
    if len(singles) < 2 or any(each.is_near and not each.is_a_last_resort for each in singles):
        return ()
    gentle = _one_after_the_other(off_stops, controls, shooting, gently=True)
    if len(gentle) > 1 and gentle[-1].is_near:
        return gentle
    if any(each.is_near for each in singles):
        return ()
    made = _one_after_the_other(off_stops, controls, shooting, gently=False)
    # The first of several can leave the second a step that overshoots by more than one alone.
    is_nearer = bool(made) and abs(made[-1].residual_stops) < abs(singles[0].residual_stops)
    return made if len(made) > 1 and is_nearer else ()


def _one_after_the_other(
    off_stops: float, controls: Sequence[Control], shooting: Shooting, *, gently: bool
) -> tuple[Move, ...]:
    left, made = off_stops, []
    for kind in _ORDER:
        for control in (each for each in controls if each.kind is kind):
            move = best_move(left, control, shooting, gently=gently)
            if move is not None and abs(left) > NEAR_STOPS:
                made.append(move)
                left = move.residual_stops
    return tuple(made)


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

    Examples
    --------
    >>> from overlays.measure.expose.sequences import shutter_time
    >>> shutter = Control(ControlKind.SHUTTER, shutter_time(1.0 / 60.0), ())
    >>> present_notes([shutter], Shooting(mains=Mains.HZ50))
    ('the present shutter, 1/60 s, flickers under lamps on 50 Hz mains',)
    """
    out = []
    for control in controls:
        if (seconds := control.now.seconds) is None:
            continue
        if not fits_a_frame(seconds, shooting.rate):
            out.append(f"the present shutter, {control.now.label}, is longer than a frame")
        if (flicker := flicker_note(seconds, shooting.mains)) is not None:
            out.append(f"the present shutter, {control.now.label}, {flicker}")
    return tuple(out)
