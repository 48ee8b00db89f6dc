"""What `midgrey expose` prints."""

from firmware.answers.table import Line, notes, sentences
from firmware.answers.terminal_numbers import percent_words, spot_words, stops_words
from firmware.instruments.advice.answer import AdviceAnswer
from overlays.measure.expose.advice import Move
from overlays.measure.expose.advice_words import forecast_words, move_words, off_words


def advice_lines(answer: AdviceAnswer) -> list[Line]:
    """How far off, what to do, what else would do, what then, warnings."""
    spot, forecast, origin = answer.spot, answer.forecast, answer.origin
    assert spot is not None  # a command's spot is read, or refused before
    assert forecast is not None  # the same of its range
    at = spot.place
    heading = (
        f"{origin.feed_name}, frame {origin.number}: spot at {at.column},{at.row},{at.size} "
        f"{spot_words(spot)}, "
        f"{percent_words(spot.percent, spot.percent_pm)}; target {answer.standing.target}; "
        f"{origin.profile.curve.name}"
    )
    off = answer.off_stops
    how_far = f"Off {stops_words(off, answer.pm)}: {off_words(off)}."
    if answer.why is not None:
        how_far = f"Off unknown: {answer.why.words}."
    out = [heading, how_far, *sentences([answer.words])]
    others = answer.moves if answer.together else answer.moves[1:]
    for move in others:
        rest = stops_words(move.residual_stops)
        out.append(f"  or {move_words(move)}, leaves {rest}{_noted(move)}")
    for move in answer.together or answer.moves[:1]:
        out += [f"  {move.to.label}: {note}." for note in move.notes]
    out += sentences(["; ".join(forecast_words(forecast, answer.when))])
    return [*out, *notes(answer.warnings, {answer.words})]


def _noted(move: Move) -> str:
    return f" ({'; '.join(move.notes)})" if move.notes else ""
