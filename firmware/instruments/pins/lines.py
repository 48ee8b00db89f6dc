"""What `midgrey pins` prints."""

from firmware.answers.table import Line, notes
from firmware.answers.terminal_numbers import percent_words, signed, spot_words, stops_words
from firmware.instruments.pins.answer import PinsAnswer, warnings_of
from overlays.measure.pins.lighting import Evenness, why_no_ratio
from overlays.wording.numbers import pm_text


def pins_lines(answer: PinsAnswer) -> list[Line]:
    """A line a pin, a line a ratio, the map of the area, warnings."""
    origin = answer.origin
    out = [f"{origin.feed_name}, frame {origin.number}; {origin.profile.curve.name}"]
    called = {n: f"{n} {answer.names.get(n, '')}".strip() for n in answer.spots}
    for number, spot in answer.spots.items():
        at, read = spot.place, spot_words(spot)
        where = f"Pin {called[number]} at {at.column},{at.row}"
        out.append(f"{where}: {read}, {percent_words(spot.percent, spot.percent_pm)}")
    for pair, ratio in answer.ratios.items():
        one, other = (called[number] for number in pair)
        if ratio is None:
            why = why_no_ratio(answer.spots[pair[0]], answer.spots[pair[1]])
            out.append(f"{one} to {other}: unknown, {why.words}")
        else:
            stops = stops_words(ratio.stops, ratio.pm, bound=ratio.bound)
            out.append(f"{one} to {other}: {stops}, {ratio.spoken}")
    if answer.evenness is not None and answer.evenness.even is not None:
        out += _even_lines(answer.evenness.even)
    return [*out, *notes(warnings_of(answer))]


def _even_lines(even: Evenness) -> list[str]:
    out = ["How even is unknown; each cell against the mean, in stops:"]
    if even.within_stops is not None:
        within = f"±{even.within_stops:.2f} st (known to {pm_text(even.within_pm, 2)})"
        spread = f"{even.spread_stops or 0.0:.2f} {pm_text(even.spread_pm, 2)} st"
        words = f"Even within {within}, darkest to brightest {spread}; "
        out = [f"{words}each cell against the mean, in stops:"]
    for row in even.map_stops:
        cells = ("   none" if cell != cell else f"{signed(cell):>7}" for cell in row)  # noqa: PLR0124 - nan
        out.append(" ".join(cells))
    return out
