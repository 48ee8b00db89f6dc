"""A match in plain sentences, the same on the screen and in the terminal."""

from overlays.measure.match.match import Match
from overlays.wording.numbers import dial_pm_words, dial_words, pm_text

CLOSE_STOPS = 0.05
"""Differences below this are called none."""
SURE_STOPS = 0.1
"""Half width up to which none may be called agreement."""


def exposure_words(match: Match) -> str:
    """What to do about B's exposure, in a few words.

    Parameters
    ----------
    match:
        From `compare`.

    Returns
    -------
    str
        Such as "open B by 0.33 st".

    Examples
    --------
    >>> [exposure_words(Match((), exposure_stops=stops)) for stops in (0.5, -0.01)]
    ['open B by 0.50 st', 'leave exposure']
    """
    stops = match.exposure_stops
    if stops is None:
        return "unknown"
    if abs(stops) < CLOSE_STOPS:
        return "leave exposure"
    return f"{'open' if stops > 0.0 else 'close'} B by {abs(stops):.2f} st"


def balance_words(match: Match) -> str:
    """What to do about B's balance, in a few words.

    Parameters
    ----------
    match:
        From `compare`.

    Returns
    -------
    str
        Kelvin where B's dial and what to set it to are known, gains in stops else.

    Examples
    --------
    >>> balance_words(Match((), r_stops=0.2, b_stops=-0.1))
    'give B red +0.20 st, blue -0.10 st'
    """
    if match.r_stops is None or match.b_stops is None:
        return "unknown"
    if max(abs(match.r_stops), abs(match.b_stops)) < CLOSE_STOPS:
        return "leave balance"
    if match.dial_to is not None:
        tint = match.tint or 0.0
        way = "magenta" if tint > 0.0 else "green"
        extra = f", tint {abs(tint):.1f} thousandths to {way}" if abs(tint) >= 0.5 else ""
        kelvin = dial_words(match.dial_to)
        if match.dial_pm is not None:
            sure = dial_pm_words(match.dial_to, match.dial_pm)
            spaced = sure.startswith("±")
            kelvin = f"{kelvin[:-2]} {sure}" if spaced else f"{kelvin} (it may be {sure})"
        return f"dial B to {kelvin}{extra}"
    return f"give B red {match.r_stops + 0.0:+.2f} st, blue {match.b_stops + 0.0:+.2f} st"


def match_words(match: Match) -> tuple[str, ...]:
    """What to do, in the order to do it, and what remains.

    Parameters
    ----------
    match:
        From `compare`.

    Returns
    -------
    tuple[str, ...]
        At least one sentence, without a full stop.

    Examples
    --------
    >>> none = Match((), 0.0, exposure_pm=0.21, r_stops=0.0, b_stops=0.0, balance_pm=0.06)
    >>> match_words(none)
    ('no difference seen: exposure ±0.21 st',)
    """
    if match.exposure_stops is None:
        return ("no pin can be compared",)
    said = {"exposure": exposure_words(match), "balance": balance_words(match)}
    moves = [said[of] for of in ("balance", "exposure") if not said[of].startswith("leave")]
    doubts = [
        f"{of} {pm_text(pm, 2)} st"
        for of, pm in (("exposure", match.exposure_pm), ("balance", match.balance_pm))
        if said[of].startswith("leave") and (pm is None or pm > SURE_STOPS)
    ]
    pins = [pair for pair in match.pairs if pair.rgb_stops is not None]
    at = f" at {len(pins)} of {len(match.pairs)} pins" if len(pins) < len(match.pairs) else ""
    unseen = f"no difference seen{at}: {', '.join(doubts)}"
    agrees = unseen if doubts else f"B agrees with A in exposure and balance{at}"
    out = [", then ".join(moves) if moves else agrees]
    if match.worst_stops is not None:
        left = f"{match.worst_stops:.2f} st"
        of = "the pin" if len(pins) == 1 else f"{len(pins)} pins"
        first = "after that at" if moves else "at"
        out.append(f"{first} most {left} remains in any channel of {of}")
    if moves and doubts:
        out.append(f"otherwise {unseen}")
    if moves and moves[0].startswith("dial"):
        out.append("dialling is a first step and moves exposure a little: match again afterwards")
    return tuple(out)
