"""A match for the terminal."""

from firmware.answers.numbers import channels_words, stops_words
from firmware.answers.origin import Origin
from firmware.answers.table import Line, notes, sentences
from firmware.instruments.match.answer import Compared, MatchAnswer, worst_left
from overlays.measure.match.match import Pair
from overlays.measure.match.match_words import match_words


def match_lines(answer: MatchAnswer, compared: Compared) -> list[Line]:
    """Both cameras, a line a pin, what to do, what remains, warnings."""
    found = compared.match
    out = [_camera("A", compared.a.origin), _camera("B", answer.origin)]
    out += [_pin(n, pair) for n, pair in zip(compared.numbers, found.pairs, strict=True)]
    said = match_words(found)
    out += [*sentences(said), *_remainder(answer)]
    return [*out, *notes(answer.warnings, said)]


def _camera(name: str, origin: Origin) -> str:
    return f"{name}: {origin.feed_name}, {origin.profile.curve.name}"


def _pin(number: int, pair: Pair) -> str:
    if pair.rgb_stops is None:
        return f"Pin {number}: {pair.why_not}"
    rgb = channels_words(pair.rgb_stops)
    return f"Pin {number}: B against A {stops_words(pair.luminance_stops)}, R G B {rgb}"


def _remainder(answer: MatchAnswer) -> list[str]:
    """The ten numbers, where they change anything."""
    rest = answer.rest
    if rest is None or rest.cdl.is_nothing:
        return []
    cdl = rest.cdl
    rows = (("slope", cdl.slope), ("offset", cdl.offset), ("power", cdl.power))
    parts = ", ".join(f"{name} {' '.join(f'{v:.4f}' for v in three)}" for name, three in rows)
    left = f"saturation {cdl.saturation:.4f}; it leaves {worst_left(rest):.2f} st"
    return [f"What remains as a CDL in {answer.origin.profile.curve.name}: {parts}, {left}"]
