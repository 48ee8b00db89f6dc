"""The one door through which numbers that somebody else has written come in.

Python reads more as a number than a person means by one: signs of other scripts, `nan`, `1_000`,
and it refuses a whole number of some thousand digits with an error of its own. Here a number is
short, plain and finite, or it is none.
"""

import math
import re

LONGEST = 64
"""Characters of a number; more are something else by mistake."""
MOST_DIGITS = 18
"""Of a whole number: it then fits into 64 bits."""
LONGEST_EDGE = 999_999
_NUMBER = re.compile(r"[+\-\u2212]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+\-]?[0-9]{1,3})?")
_WHOLE = re.compile(rf"[+\-\u2212]?[0-9]{{1,{MOST_DIGITS}}}")


def number_in(text: str) -> float | None:
    """The number that a text is; None where it is none.

    Parameters
    ----------
    text:
        Digits with a point, a sign and an exponent as wanted; blanks around it are passed over. A
        true minus sign (U+2212) is as good as a hyphen.

    Returns
    -------
    float or None
        Finite.

    Examples
    --------
    >>> number_in(" +5.6 "), number_in("1e-3"), number_in("nan"), number_in("1e999")
    (5.6, 0.001, None, None)
    """
    written = text.strip()
    if len(written) > LONGEST or _NUMBER.fullmatch(written) is None:
        return None
    found = float(written.replace("\u2212", "-"))
    return found if math.isfinite(found) else None


def whole_in(text: str) -> int | None:
    """The whole number that a text is; None where it is none, or has more than 18 digits.

    Parameters
    ----------
    text:
        Digits with a sign as wanted; blanks around it are passed over.

    Returns
    -------
    int or None
        Fits into 64 bits.

    Examples
    --------
    >>> whole_in("-12"), whole_in("1.5"), whole_in("9" * 5000), whole_in("\u00b2")
    (-12, None, None, None)
    """
    written = text.strip()
    if _WHOLE.fullmatch(written) is None:
        return None
    return int(written.replace("\u2212", "-"))


def whole(text: str) -> int:
    """As `whole_in`, for text of which a pattern has said already that it is a whole number.

    Raises
    ------
    ValueError
        It is none.

    Examples
    --------
    >>> whole("0720")
    720
    """
    found = whole_in(text)
    if found is None:
        raise ValueError(f"{text[:LONGEST]!r} is no whole number")
    return found


def number(text: str) -> float:
    """As `number_in`, for text of which a pattern has said already that it is a number.

    Raises
    ------
    ValueError
        It is none.

    Examples
    --------
    >>> number("0.25")
    0.25
    """
    found = number_in(text)
    if found is None:
        raise ValueError(f"{text[:LONGEST]!r} is no number")
    return found


def size_in(text: str) -> tuple[int, int] | None:
    """(columns, rows) of ``1280x720``; None where it is no size.

    Parameters
    ----------
    text:
        Two whole numbers with an x between them.

    Returns
    -------
    (int, int) or None
        Each from 1 to 999 999.

    Examples
    --------
    >>> size_in("1280x720"), size_in("1280"), size_in("9999999x1")
    ((1280, 720), None, None)
    """
    columns, _, rows = text.lower().partition("x")
    wide, high = whole_in(columns), whole_in(rows)
    if (
        wide is None
        or high is None
        or not (1 <= wide <= LONGEST_EDGE and 1 <= high <= LONGEST_EDGE)
    ):
        return None
    return wide, high


def short(given: object, most: int = 60) -> str:
    """What was given, as Python writes it, cut where it is longer than a line takes.

    Parameters
    ----------
    given:
        Whatever stands in a file.
    most:
        Characters.

    Returns
    -------
    str
        At most so long.

    Examples
    --------
    >>> short(10 ** 400)[-6:]
    '000...'
    """
    try:
        text = repr(given)
    except RecursionError:
        return "tables nested without end"
    except ValueError:  # a whole number of more digits than Python writes
        return "a number of thousands of digits"
    return text if len(text) <= most else f"{text[: most - 3]}..."
