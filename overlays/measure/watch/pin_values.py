"""The three quantities of a pin that a watch follows."""


def values_of_stops(
    stops: float | None, channels: tuple[float | None, float | None, float | None]
) -> tuple[float | None, float | None, float | None]:
    """What a watch follows of light and its R, G, B.

    Parameters
    ----------
    stops, channels:
        From mid-grey; None where there is no light.

    Returns
    -------
    tuple
        (level, red against green, blue against green) in stops; None where there is no light.

    Examples
    --------
    >>> values_of_stops(0.5, (0.25, 0.5, 1.0)), values_of_stops(-9.0, (None, None, 0.0))
    ((0.5, -0.25, 0.5), (-9.0, None, None))
    """
    red, green, blue = channels
    if green is None:
        return stops, None, None
    return (
        stops,
        None if red is None else red - green,
        None if blue is None else blue - green,
    )
