"""Numbers for the terminal: those of the screen, in signs that every terminal has."""

from overlays.wording.numbers import (
    MINUS,
    pm_text,
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


def plain(text: str) -> str:
    """Text of the screen with the hyphen that keyboards have for a minus."""
    return text.replace(MINUS, "-")


def signed(number: float | None, decimals: int = 2) -> str:
    """With its sign; empty where there is none."""
    return "" if number is None else plain(signed_shown(number, decimals))


def stops_words(value: float | None, pm: float | None = None, *, unit: bool = True) -> str:
    """Stops and their ± as the screen rounds them; in words where there is no light."""
    if value is None:
        return "no light"
    text = plain(stops_shown(value, pm))
    if pm is not None:
        text += f" {pm_text(pm, 2)}"
    return f"{text} st" if unit else text


def percent_words(value: float, pm: float | None = None) -> str:
    """Video level and its ± as the screen rounds them, with its unit."""
    text = plain(percent_shown(value))
    return f"{text} %" if pm is None else f"{text} {pm_text(pm, 1)} %"


def channels_words(values: tuple[float | None, ...]) -> str:
    """Stops of R, G and B in one row."""
    return " ".join("none" if each is None else plain(stops_shown(each)) for each in values)


def room_words(value: float | None) -> str:
    """Headroom or footroom."""
    return "unknown" if value is None else f"{plain(stops_shown(value))} st"
