"""Numbers for the terminal: those of the screen, in signs that every terminal has."""

from overlays.measure.spot.spot import SpotReading
from overlays.wording.numbers import (
    MINUS,
    pm_text,
    stops_number,
)
from overlays.wording.numbers import (
    percent_text as percent_shown,
)
from overlays.wording.numbers import (
    signed as signed_shown,
)
from overlays.wording.numbers import (
    stops_text as stops_shown,
)
from overlays.wording.reasons import Bound, Reason


def plain(text: str) -> str:
    """Text of the screen with the hyphen that keyboards have for a minus."""
    return text.replace(MINUS, "-")


def signed(number: float | None, decimals: int = 2) -> str:
    """With its sign; empty where there is none."""
    return "" if number is None else plain(signed_shown(number, decimals))


def stops_words(
    value: float | None,
    pm: float | None = None,
    *,
    unit: bool = True,
    bound: Bound | None = None,
    why: Reason = Reason.NO_LIGHT,
) -> str:
    """Stops and their ± as the screen rounds them; where there are none, why in words.

    A bound has no ±: "at least +2.4 st".
    """
    if value is None:
        return why.words
    text = plain(stops_shown(value, pm, bound))
    if pm is not None and bound is None:
        text += f" {pm_text(pm, 2)}"
    return f"{text} st" if unit else text


def spot_words(spot: SpotReading, *, unit: bool = True) -> str:
    """The stops of a spot."""
    return stops_words(spot.stops, spot.stops_pm, unit=unit, bound=spot.bound)


def percent_words(value: float, pm: float | None = None) -> str:
    """Video level and its ± as the screen rounds them, with its unit."""
    text = plain(percent_shown(value))
    return f"{text} %" if pm is None else f"{text} {pm_text(pm, 1)} %"


def channels_words(
    values: tuple[float | None, ...], bounds: tuple[Bound | None, ...] = (None, None, None)
) -> str:
    """Stops of R, G and B in one row; a bound has its sign."""
    said = []
    for value, bound in zip(values, bounds, strict=True):
        words = Reason.NO_LIGHT.words if value is None else plain(stops_number(value, None, bound))
        said.append(words if bound is None else f"{bound.sign}{words}")
    return " ".join(said)


def room_words(value: float | None) -> str:
    """Headroom or footroom."""
    return "unknown" if value is None else f"{plain(stops_shown(value))} st"
