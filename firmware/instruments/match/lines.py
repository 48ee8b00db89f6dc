"""A match for the terminal."""

from firmware.answers.origin import Origin
from firmware.answers.table import Line, notes, sentences
from firmware.answers.terminal_numbers import channels_words, signed, stops_words
from firmware.instruments.match.answer import Compared, MatchAnswer, leaves_words
from firmware.instruments.match.cdl_file import REST, WHOLE
from overlays.measure.match.match import Match, Pair
from overlays.measure.match.match_words import match_words
from overlays.measure.match.remainder import Remainder
from overlays.wording.numbers import pm_text


def match_lines(answer: MatchAnswer, compared: Compared) -> list[Line]:
    """Both cameras, a line a pin, what B needs, what to do, what remains, warnings."""
    found = compared.match
    out = [f"A: {compared.a.named}", _camera("B", answer.origin)]
    out += [_pin(n, pair) for n, pair in zip(compared.numbers, found.pairs, strict=True)]
    out += _to_add(found)
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


def _to_add(found: Match) -> list[str]:
    """Exposure, and red and blue against green, as sure as they are."""
    if found.exposure_stops is None:
        return []
    exposure = stops_words(found.exposure_stops, found.exposure_pm)
    red, blue = signed(found.r_stops), signed(found.b_stops)
    sides = f"red {red}, blue {blue} {pm_text(found.balance_pm, 2)} st against green"
    return [f"To add on B: exposure {exposure}; {sides}"]


def _remainder(answer: MatchAnswer) -> list[str]:
    """The ten numbers of what remains and of the whole, where they change anything; the files."""
    curve = answer.origin.profile.curve.name
    out = [
        f"{name} as a CDL in {curve}: {_ten(found)}; {leaves_words(found)}"
        for name, found in (("What remains", answer.rest), ("The whole difference", answer.whole))
        if found is not None and not found.cdl.is_nothing
    ]
    files = ((answer.cdl, REST), (answer.cdl_whole, WHOLE))
    return out + [
        f"{path}: {holds}." for path, holds in files if path is not None and answer.rest is not None
    ]


def _ten(rest: Remainder) -> str:
    cdl = rest.cdl
    rows = (("slope", cdl.slope), ("offset", cdl.offset), ("power", cdl.power))
    parts = [f"{name} {' '.join(f'{v:.4f}' for v in three)}" for name, three in rows]
    return ", ".join([*parts, f"saturation {cdl.saturation:.4f}"])
