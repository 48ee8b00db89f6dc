"""What `midgrey balance` prints."""

from firmware.answers.table import Line, notes, sentences
from firmware.answers.terminal_numbers import signed, spot_words, stops_words
from firmware.instruments.balance.answer import UNDIALLED, BalanceAnswer
from overlays.measure.balance.balance import BalanceReading, BalanceSettings
from overlays.measure.balance.balance_advice import (
    NOT_DIALLED,
    advice,
    dial_doubt,
    paper_words,
)
from overlays.wording.numbers import dial_words, pm_text


def balance_lines(answer: BalanceAnswer, reading: BalanceReading) -> list[Line]:
    """The card, what it reads, what to do, warnings."""
    origin, settings = answer.origin, answer.settings
    at = reading.spot.place
    heading = (
        f"{origin.feed_name}, frame {origin.number}: card at {at.column},{at.row},{at.size}, "
        f"{spot_words(reading.spot)}; "
        f"{origin.profile.curve.name}, {settings.gamut.name}"
    )
    out = [heading]
    if reading.refusal is None:
        out += _number_lines(reading, settings)
    told = [UNDIALLED if each == NOT_DIALLED else each for each in advice(reading, settings)]
    paper = paper_words(reading)
    out += sentences([*told, paper] if paper else told)
    return [*out, *notes(answer.warnings, {reading.refusal, *told})]


def _light(reading: BalanceReading) -> str:
    """Its colour temperature; one that is hardly known is rounded as a dial is."""
    assert reading.dial_to is not None  # asked by the caller
    doubt = dial_doubt(reading)
    if not doubt.startswith("±"):
        return f"{dial_words(reading.dial_to)}, it may be {doubt}"
    return f"{reading.dial_to:.0f} {pm_text(reading.dial_to_pm, 0)} K"


def _number_lines(reading: BalanceReading, settings: BalanceSettings) -> list[str]:
    assert reading.off_neutral is not None  # there is a reading
    assert reading.chroma_percent is not None  # the same
    first = (
        f"Red {stops_words(reading.r_stops, reading.r_stops_pm)}, blue "
        f"{stops_words(reading.b_stops, reading.b_stops_pm)} against green; chroma "
        f"{reading.chroma_percent:.1f} {pm_text(reading.chroma_percent_pm, 1)} %; "
        f"off neutral {reading.off_neutral:.4f} {pm_text(reading.off_neutral_pm, 4)} in u'v' "
        f"(tolerance {settings.tolerance:.4f})"
    )
    out = [first]
    if reading.cct is not None and reading.duv is not None:
        out.append(
            f"Shown as a light of {reading.cct:.0f} {pm_text(reading.cct_pm, 0)} K, Duv "
            f"{signed(reading.duv, 4)} {pm_text(reading.duv_pm, 4)}"
        )
    if reading.dial_to is not None and reading.tint is not None:
        out.append(
            f"The light itself: {_light(reading)}, "
            f"tint {signed(reading.tint, 1)} {pm_text(reading.tint_pm, 1)} thousandths of Duv "
            "from the setting"
        )
    if reading.mired_shift is not None:
        out.append(
            f"Shift wanted of a filter: {signed(reading.mired_shift, 0)} "
            f"{pm_text(reading.mired_shift_pm, 0)} mired"
        )
    return out
