"""What the balance view says beside the picture."""

from firmware.instruments.balance.answer import BalanceAnswer
from overlays.draw.moment.report import Report, Row, Tone
from overlays.measure.balance.balance import BalanceReading, BalanceSettings
from overlays.measure.balance.balance_advice import advice, dial_doubt, paper_span, tint_advice
from overlays.wording.numbers import UNKNOWN, dial_words, pm_text, signed, stops_text


def balance_report(answer: BalanceAnswer) -> Report:
    """What to dial, large; then the numbers it comes from."""
    reading, settings = answer.reading, answer.settings
    if reading is None:
        return Report("balance", UNKNOWN, "", str(answer.fault), Tone.ALARM)
    warned = (*reading.warnings, *answer.origin.gamut_warnings)
    first, *more = advice(reading, settings)
    if reading.refusal is not None:
        return Report("balance", UNKNOWN, "", first, Tone.ALARM, warnings=warned)
    main, beside = _main(reading)
    rows = _rows(reading, settings)
    return Report("balance", main, beside, first, rows=rows, notes=tuple(more), warnings=warned)


def _main(reading: BalanceReading) -> tuple[str, str]:
    far = f"{reading.off_neutral or 0.0:.4f} u'v' off neutral"
    if reading.in_tolerance:
        return "OK" if reading.is_sure else "unsure", far
    if reading.dial_to is None:
        return "off", far
    tint = tint_advice(reading)
    beside = f"{dial_doubt(reading)}  ·  {tint or 'no tint'}"
    return dial_words(reading.dial_to).removesuffix(" K"), beside


def _rows(reading: BalanceReading, settings: BalanceSettings) -> tuple[Row, ...]:
    return (
        Row(
            "camera is set to",
            "not known" if settings.dial is None else dial_words(settings.dial.kelvin),
            is_chosen=True,
            short="set to",
        ),
        Row("red to green, st", stops_text(reading.r_stops, reading.r_stops_pm), short="R/G, st"),
        Row("blue to green, st", stops_text(reading.b_stops, reading.b_stops_pm), short="B/G, st"),
        Row("chroma, %", _pm(reading.chroma_percent, reading.chroma_percent_pm, 1)),
        Row("shown as, K", _pm(reading.cct, reading.cct_pm, 0), short="as, K"),
        Row("Duv, 0.001", _pm(_milli(reading.duv), _milli(reading.duv_pm), 1)),
        Row("filter, mired", _shift(reading)),
        Row("if it is paper, K", paper_span(reading) or UNKNOWN, Tone.QUIET, short="paper, K"),
    )


def _milli(value: float | None) -> float | None:
    return None if value is None else 1000.0 * value


def _pm(value: float | None, pm: float | None, decimals: int) -> str:
    if value is None:
        return UNKNOWN
    return f"{value:.{decimals}f} {pm_text(pm, decimals)}"


def _shift(reading: BalanceReading) -> str:
    if reading.mired_shift is None:
        return UNKNOWN
    sheet = "" if reading.sheet is None else f"  {reading.sheet.name}"
    return f"{signed(reading.mired_shift, 0)}{sheet}"
