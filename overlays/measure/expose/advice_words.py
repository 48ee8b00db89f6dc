"""Advice in plain sentences, the same on the screen and in the terminal."""

from collections.abc import Sequence
from dataclasses import dataclass

from overlays.measure.expose.advice import NEAR_STOPS, Move
from overlays.measure.expose.sequences import ControlKind
from overlays.measure.range.forecast import Forecast
from overlays.wording.numbers import MINUS, signed

_NOTHING = 0.05
"""Stops below which nothing is said to be left: no number would change by it."""

_OPEN = {
    ControlKind.ND: ("put in", "go down to"),
    ControlKind.APERTURE: ("close to", "open to"),
    ControlKind.ISO: ("bring down to", "bring up to"),
    ControlKind.SHUTTER: ("shorten to", "lengthen to"),
}


def stops_words(stops: float) -> str:
    """Stops with sign and two decimals, as the screen has them: nothing has no sign.

    Parameters
    ----------
    stops:
        A finite number.

    Returns
    -------
    str
        Such as "+0.33 st".

    Examples
    --------
    >>> stops_words(-0.001)
    '0.00 st'
    """
    return f"{signed(stops, 2).replace(MINUS, '-')} st"


def off_words(off_stops: float | None) -> str:
    """Which way a spot is off, in three words.

    Parameters
    ----------
    off_stops:
        From `off_target`.

    Returns
    -------
    str
        On target within `NEAR_STOPS`.

    Examples
    --------
    >>> off_words(-0.5), off_words(0.1)
    ('too dark', 'on target')
    """
    if off_stops is None:
        return "not to be read"
    if abs(off_stops) <= NEAR_STOPS:
        return "on target"
    return "too bright" if off_stops > 0.0 else "too dark"


def move_words(move: Move) -> str:
    """What to do with one control: "close to f/8".

    Parameters
    ----------
    move:
        Of any control.

    Returns
    -------
    str
        Without a full stop.

    Examples
    --------
    >>> from overlays.measure.expose.sequences import aperture
    >>> move_words(Move(ControlKind.APERTURE, aperture(5.6), aperture(8.0), -3, -1.0, 0.0))
    'close to f/8'
    """
    less, more = _OPEN[move.kind]
    if move.kind is ControlKind.ND and move.to.stops == 0.0:
        return "take the ND out"
    return f"{more if move.change_stops > 0.0 else less} {move.to.label}"


def steps_words(move: Move) -> str:
    """How far that is.

    Parameters
    ----------
    move:
        Of any control.

    Returns
    -------
    str
        Such as "2 steps from f/5.6".

    Examples
    --------
    >>> from overlays.measure.expose.sequences import aperture
    >>> steps_words(Move(ControlKind.APERTURE, aperture(5.6), aperture(8.0), -3, -1.0, 0.0))
    '3 steps from f/5.6'
    """
    count = abs(move.steps)
    return f"{count} {'step' if count == 1 else 'steps'} from {move.start.label}"


@dataclass(frozen=True, slots=True)
class Kit:
    """What a person has besides the controls that were said.

    Attributes
    ----------
    controls:
        How many of the camera's controls were said.
    has_nd:
        Whether an ND is among them.
    has_variable_nd:
        Whether there is one that can be turned.
    """

    controls: int = 0
    has_nd: bool = False
    has_variable_nd: bool = False


def rest_words(residual_stops: float, *, variable_nd: bool = False) -> str:
    """What is left after a move.

    Parameters
    ----------
    residual_stops:
        Positive is still too bright.
    variable_nd:
        Whether there is a variable ND to take it.

    Returns
    -------
    str
        Without a full stop.

    Examples
    --------
    >>> rest_words(0.3)
    'then it is 0.30 st too bright'
    """
    stops = f"{abs(residual_stops):.2f} st"
    if abs(residual_stops) < _NOTHING:
        return "then it is on target"
    if variable_nd:
        way = "close" if residual_stops > 0.0 else "open"
        return f"{way} the variable ND by the last {stops}"
    return f"then it is {stops} too {'bright' if residual_stops > 0.0 else 'dark'}"


def light_words(off_stops: float, kit: Kit) -> str:
    """What to do about the light itself, in the same number of stops.

    Parameters
    ----------
    off_stops:
        Positive is too bright.
    kit:
        An ND that is known is advised on by itself.

    Returns
    -------
    str
        Without a full stop.

    Examples
    --------
    >>> light_words(-1.0, Kit())
    'bring 1.00 st more light'
    """
    stops = f"{abs(off_stops):.2f} st"
    if off_stops < 0.0:
        return f"bring {stops} more light"
    return f"take {stops} off the light" + ("" if kit.has_nd else ", or put in that much ND")


def main_words(
    off_stops: float | None, moves: Sequence[Move], together: Sequence[Move], kit: Kit
) -> str:
    """The whole advice in one sentence.

    Parameters
    ----------
    off_stops:
        From `off_target`.
    moves:
        Alternatives, from `single_moves`.
    together:
        Moves that belong together, from `joined_moves`.
    kit:
        What there is besides.

    Returns
    -------
    str
        Without a full stop.

    Examples
    --------
    >>> from overlays.measure.expose.sequences import aperture
    >>> move = Move(ControlKind.APERTURE, aperture(5.6), aperture(8.0), -3, -1.0, 0.0)
    >>> main_words(1.0, [move], [], Kit(controls=1))
    'close to f/8 (3 steps from f/5.6); then it is on target'
    """
    if off_stops is None:
        return "no advice: the spot gives no reading"
    made = together or moves[:1]
    if made:
        done = ", then ".join(move_words(move) for move in made)
        if not together:
            done += f" ({steps_words(made[0])})"
        done = f"{done}; {rest_words(made[-1].residual_stops, variable_nd=kit.has_variable_nd)}"
        if any(move.is_a_last_resort for move in made):
            return f"{light_words(off_stops, kit)}; or {done}"
        return done
    return _unmoved_words(off_stops, kit)


def _unmoved_words(off_stops: float, kit: Kit) -> str:
    if abs(off_stops) < _NOTHING:
        return "leave it: it is on target"
    if abs(off_stops) <= NEAR_STOPS:
        way = "bright" if off_stops > 0.0 else "dark"
        return f"leave it: {abs(off_stops):.2f} st too {way} is nearer than controls are marked"
    if kit.controls == 0:
        return f"{light_words(off_stops, kit)}; say where the camera stands to hear which control"
    return f"{light_words(off_stops, kit)}: no control of the camera reaches that"


def forecast_words(forecast: Forecast, when: str = "then") -> tuple[str, ...]:
    """The forecast in two short sentences.

    Parameters
    ----------
    forecast:
        After a move.
    when:
        "now" where nothing is to be moved.

    Returns
    -------
    tuple[str, ...]
        Of the brightest thing, then of the darkest.

    Examples
    --------
    >>> forecast_words(Forecast(2.0, 0.02, -3.0, 0.1, False, False, (0.0, 0.0, 0.0)))
    ('brightest then +2.00 st, nothing clips', 'darkest then -3.00 st, above the floor')
    """
    bright = forecast.brightest_stops
    out = [f"brightest {when} unknown"]
    if bright is not None:
        bound = forecast.brightest_bound
        said = stops_words(bright) if bound is None else f"{bound.value} {bright:+.1f} st"
        out = [f"brightest {when} {said}"]
    if forecast.clips is not None:
        clips = f", {forecast.channels} clip{'s' if len(forecast.channels) == 1 else ''}"
        out[0] += clips if forecast.clips else ", nothing clips"
    dark = forecast.darkest_stops
    out.append(f"darkest {when} unknown" if dark is None else f"darkest {when} {stops_words(dark)}")
    if dark is None and forecast.sinks is False:
        out[1] = f"darkest {when} not to be told, above the floor"
    elif forecast.sinks is not None:
        out[1] += ", sinks below the floor" if forecast.sinks else ", above the floor"
    return tuple(out)
