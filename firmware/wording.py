"""Numbers as a person reads them in the terminal."""


def stops_text(value: float | None, pm: float | None = None, digits: int = 2) -> str:
    """Stops with their sign, and their ± where it is known; in words where there is no light."""
    if value is None:
        return "no light"
    text = f"{round(value, digits) + 0.0:+.{digits}f}"  # + 0.0: no minus zero
    return text if pm is None else f"{text} ±{fine(pm, digits)}"


def percent_text(value: float, pm: float | None = None) -> str:
    """Video level to a tenth of a percent, and its ±."""
    text = f"{round(value, 1) + 0.0:.1f}"
    return text if pm is None else f"{text} ±{fine(pm, 1)}"


def fine(pm: float, digits: int) -> str:
    """A ± with enough digits to be above zero: what is uncertain never reads as certain."""
    if pm <= 0.0:
        return f"{0.0:.{digits}f}"
    for more in range(3):
        text = f"{pm:.{digits + more}f}"
        if float(text) > 0.0:
            return text
    return f"{10.0 ** -(digits + 2):.{digits + 2}f}"


def channels_text(values: tuple[float | None, float | None, float | None]) -> str:
    """Stops of R, G and B in one row."""
    return " ".join("none" if value is None else stops_text(value) for value in values)


def room_text(value: float | None) -> str:
    """Headroom or footroom."""
    return "unknown" if value is None else f"{stops_text(value)} st"
