"""A reading of the balance as a person would say it."""

from overlays.measure.balance.balance import BalanceReading, BalanceSettings
from overlays.wording.numbers import (
    LOPSIDED,
    STEP_KELVIN,
    dial_pm_words,
    dial_words,
    signed,
)

SMALLEST_TINT = 1.0
"""Thousandths of Duv below which nobody turns a tint."""
LARGE_DOUBT_KELVIN = 60.0
NOT_DIALLED = "what to dial is not known: say what the camera's balance is set to"


def advice(reading: BalanceReading, settings: BalanceSettings) -> tuple[str, ...]:
    """What to do, one sentence each, the first the most important; the refusal where there is one.

    Kelvin are rounded to ten, finer than any dial; tint is in thousandths of Duv.

    Parameters
    ----------
    reading:
        Of the card.
    settings:
        What it was judged by; its dial decides whether kelvin can be advised.

    Returns
    -------
    tuple[str, ...]
        At least one sentence, without a full stop.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.measure.balance.balance import read_balance
    >>> from overlays.measure.spot.spot import SpotPlace
    >>> from overlays.signal.example_frames import grey_frame
    >>> from overlays.signal.gamuts import published_gamut
    >>> settings = BalanceSettings(published_gamut("BT.709"))
    >>> card = read_balance(grey_frame([[502]], 32), VIDEO, SpotPlace(16, 16, 16), settings)
    >>> advice(card, settings)
    ('in tolerance: leave the balance as it is',)
    """
    if reading.refusal is not None:
        return (reading.refusal,)
    if reading.in_tolerance and not reading.is_sure:
        return ("no cast can be seen, but the ± is wider than the tolerance",)
    if reading.in_tolerance:
        return ("in tolerance: leave the balance as it is",)
    out = []
    if reading.dial_to is not None and settings.dial is not None:
        out.append(_dial(reading, settings))
    else:
        out.append(NOT_DIALLED)
    out += _sheet(reading)
    return tuple(out)


def tint_words(tint: float) -> str:
    """A change of tint in words; empty where it is too small to turn.

    Parameters
    ----------
    tint:
        Thousandths of Duv, positive towards magenta.

    Returns
    -------
    str
        Such as "tint 4 towards magenta".

    Examples
    --------
    >>> tint_words(0.3)
    ''
    >>> tint_words(6.0)
    'tint 6 towards magenta'
    """
    if abs(tint) < SMALLEST_TINT:
        return ""
    return f"tint {abs(tint):.0f} towards {'magenta' if tint > 0.0 else 'green'}"


def tint_advice(reading: BalanceReading) -> str:
    """Which tint to turn, in words; empty where it is too small, or within its ±.

    Before a step of the dial that is to be read again its ± is what cameras differ by over the
    step: then it is said as the first move that it is.

    Parameters
    ----------
    reading:
        Of the card.

    Returns
    -------
    str
        As `tint_words`.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> spot = read_spot(grey_frame([[502]], cell=32), VIDEO, SpotPlace(16, 16, 16))
    >>> [tint_advice(BalanceReading(spot, tint=3.4, tint_pm=pm)) for pm in (1.0, 4.2)]
    ['tint 3 towards magenta', '']
    """
    tint = reading.tint or 0.0
    is_first = not _is_within(reading) and (reading.dial_to_cameras or 0.0) > LARGE_DOUBT_KELVIN
    return tint_words(tint) if is_first or abs(tint) > (reading.tint_pm or 0.0) else ""


def dial_doubt(reading: BalanceReading) -> str:
    """How sure what to dial is: a ±, or both ends where the two sides are unlike.

    Parameters
    ----------
    reading:
        Of a card, with `dial_to`.

    Returns
    -------
    str
        In tens of kelvin, such as "±350 K", "5740 to 20670 K" or "5740 K or more"; empty where
        there is nothing to dial.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> spot = read_spot(grey_frame([[502]], cell=32), VIDEO, SpotPlace(16, 16, 16))
    >>> dial_doubt(BalanceReading(spot, dial_to=5600.0, dial_to_pm=350.0))
    '±350 K'
    """
    kelvin, pm = reading.dial_to, reading.dial_to_pm
    return "" if kelvin is None or pm is None else dial_pm_words(kelvin, pm)


def paper_words(reading: BalanceReading) -> str:
    """What the reading is off by where the card is no neutral one; empty where that is not known.

    Parameters
    ----------
    reading:
        Of the card.

    Returns
    -------
    str
        One sentence, without a full stop.

    Examples
    --------
    >>> from overlays.measure.balance.paper import paper_doubt
    >>> from overlays.measure.colour.whitepoint import WhitePoint
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> spot = read_spot(grey_frame([[502]], cell=32), VIDEO, SpotPlace(16, 16, 16))
    >>> paper = paper_doubt(WhitePoint(5600.0, 0.0))
    >>> paper_words(BalanceReading(spot, paper=paper)).split(", ")[0]
    'that is so for a neutral grey or white card: cream paper reads up to 940 K too low'
    """
    paper = reading.paper
    if paper is None:
        return ""
    tint = max(abs(paper.cream_tint), abs(paper.bright_tint))
    return (
        "that is so for a neutral grey or white card: cream paper reads up to "
        f"{dial_words(abs(paper.cream_kelvin))} too low, bright white printer paper up to "
        f"{dial_words(abs(paper.bright_kelvin))} too high, and tint up to {tint:.0f} off"
    )


def paper_span(reading: BalanceReading) -> str:
    """The same as two numbers in kelvin; empty where that is not known.

    Parameters
    ----------
    reading:
        Of the card.

    Returns
    -------
    str
        Such as "−940 to +730".

    Examples
    --------
    >>> from overlays.measure.balance.paper import paper_doubt
    >>> from overlays.measure.colour.whitepoint import WhitePoint
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> spot = read_spot(grey_frame([[502]], cell=32), VIDEO, SpotPlace(16, 16, 16))
    >>> paper_span(BalanceReading(spot, paper=paper_doubt(WhitePoint(5600.0, 0.0))))
    '−940 to +730'
    """
    paper = reading.paper
    if paper is None:
        return ""
    low, high = (
        STEP_KELVIN * round(each / STEP_KELVIN)
        for each in (paper.cream_kelvin, paper.bright_kelvin)
    )
    return f"{signed(low, 0)} to {signed(high, 0)}"


def _dial(reading: BalanceReading, settings: BalanceSettings) -> str:
    assert reading.dial_to is not None  # asked by the caller
    assert settings.dial is not None  # the same
    wanted, now = dial_words(reading.dial_to), dial_words(settings.dial.kelvin)
    tint = tint_advice(reading)
    if wanted == now or _is_within(reading):
        is_doubted = wanted != now or bool(tint_words(reading.tint or 0.0))
        why = "what is off is less than the ±" if is_doubted else "no dial is that fine"
        return f"leave {now} and set {tint}" if tint else f"leave {now}: {why}"
    said = f"dial {wanted} (now {now})"
    if tint:
        said += f" and {tint}"
    differ = reading.dial_to_cameras or 0.0
    if differ > LOPSIDED * reading.dial_to:
        said += f", then read again: over such a step cameras may want {dial_doubt(reading)}"
    elif differ > LARGE_DOUBT_KELVIN:
        said += f", then read again: cameras differ by {dial_words(differ)} over such a step"
    return said


def _is_within(reading: BalanceReading) -> bool:
    """Whether the shift is within its ±, which may then lie on the other side."""
    return abs(reading.mired_shift or 0.0) <= (reading.mired_shift_pm or 0.0)


def _sheet(reading: BalanceReading) -> list[str]:
    sheet, left = reading.sheet, reading.sheet_leaves_mired
    if sheet is None or left is None or reading.mired_shift is None:
        return []
    words = (
        f"or put {sheet.name} on the light ({sheet.mired:+.0f} mired of {reading.mired_shift:+.0f} "
        f"wanted, {left:+.0f} left; makers differ by about 10 %)"
    )
    return [words]
