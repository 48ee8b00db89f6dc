"""Advice in plain sentences, the same on the screen and in the terminal."""

from collections.abc import Sequence

from overlays.measure.expose.advice import NEAR_STOPS, Move
from overlays.measure.expose.sequences import ControlKind
from overlays.measure.range.forecast import Forecast

_OPEN = {
    ControlKind.ND: ("put in", "go down to"),
    ControlKind.APERTURE: ("close to", "open to"),
    ControlKind.ISO: ("bring down to", "bring up to"),
    ControlKind.SHUTTER: ("shorten to", "lengthen to"),
}


def stops_words(stops: float) -> str:
    """Stops with sign and two decimals, no minus zero.

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
    '+0.00 st'
    """
    return f"{round(stops, 2) + 0.0:+.2f} st"


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
    """
    count = abs(move.steps)
    return f"{count} {'step' if count == 1 else 'steps'} from {move.start.label}"


def rest_words(residual_stops: float) -> str:
    """What is left for a variable ND after a move.

    Parameters
    ----------
    residual_stops:
        Positive is still too bright.

    Returns
    -------
    str
        Without a full stop.

    Examples
    --------
    >>> rest_words(0.3)
    '0.30 st are left for the variable ND'
    """
    if abs(residual_stops) < 0.05:
        return "nothing is left"
    if residual_stops > 0.0:
        return f"{residual_stops:.2f} st are left for the variable ND"
    return f"{-residual_stops:.2f} st are missing then: open the variable ND by that"


def main_words(
    off_stops: float | None, moves: Sequence[Move], together: Sequence[Move], *, controls: int
) -> str:
    """The whole advice in one sentence.

    `moves` are alternatives, `together` belong together, `controls` is of how many the present
    setting is known.

    Parameters
    ----------
    off_stops:
        From `off_target`.
    moves:
        From `single_moves`.
    together:
        From `joined_moves`.
    controls:
        How many of the camera's controls were said.

    Returns
    -------
    str
        Without a full stop.
    """
    if off_stops is None:
        return "no advice: the spot gives no reading"
    if together:
        done = ", then ".join(move_words(move) for move in together)
        return f"{done}; {rest_words(together[-1].residual_stops)}"
    if moves:
        first = moves[0]
        return f"{move_words(first)} ({steps_words(first)}); {rest_words(first.residual_stops)}"
    if abs(off_stops) <= NEAR_STOPS:
        return f"leave it; {rest_words(off_stops)}"
    way = "less" if off_stops > 0.0 else "more"
    if controls == 0:
        return f"{abs(off_stops):.2f} st {way} light is needed; say where the camera stands"
    return f"{abs(off_stops):.2f} st {way} light is needed, and no control has it: light or filter"


def forecast_words(forecast: Forecast) -> tuple[str, ...]:
    """The forecast in two short sentences.

    Parameters
    ----------
    forecast:
        After a move.

    Returns
    -------
    tuple[str, ...]
        Of the brightest thing, then of the darkest.
    """
    bright = forecast.brightest_stops
    out = ["brightest then unknown" if bright is None else f"brightest then {stops_words(bright)}"]
    if forecast.clips is not None:
        clips = f", {forecast.channels} clip{'s' if len(forecast.channels) == 1 else ''}"
        out[0] += clips if forecast.clips else ", nothing clips"
    dark = forecast.darkest_stops
    out.append("darkest then unknown" if dark is None else f"darkest then {stops_words(dark)}")
    if dark is None and forecast.sinks is False:
        out[1] = "darkest then too dark to tell"
    elif forecast.sinks is not None:
        out[1] += ", sinks below the floor" if forecast.sinks else ", above the floor"
    return tuple(out)
