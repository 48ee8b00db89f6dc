"""A level with its unit: percent of video level, or stops from mid-grey."""

from dataclasses import dataclass
from enum import Enum

from overlays.signal.carried import CarriedCurve


class Unit(Enum):
    """What a level is counted in."""

    PERCENT = "%"
    STOPS = "st"


@dataclass(frozen=True, slots=True)
class Level:
    """A level as a person gives it."""

    number: float
    unit: Unit

    def percent(self, carried: CarriedCurve) -> float:
        """Video level in percent; stops go through the curve.

        Parameters
        ----------
        carried:
            The curve on the feed's signal.

        Returns
        -------
        float
            Of a neutral.

        Examples
        --------
        >>> from overlays.signal.published import published_curve
        >>> from overlays.signal.levels import Carriage
        >>> from overlays.signal.signal import Range
        >>> video = CarriedCurve(published_curve("BT.709"), Carriage.NARROW, Range.LIMITED)
        >>> round(stops(0.0).percent(video), 1)  # 1.099 * 0.18**0.45 - 0.099
        40.9
        """
        if self.unit is Unit.PERCENT:
            return self.number
        return carried.stops_to_percent(self.number)

    def stops(self, carried: CarriedCurve) -> float:
        """Stops from mid-grey; percent goes through the curve (not finite at no light).

        Parameters
        ----------
        carried:
            The curve on the feed's signal.

        Returns
        -------
        float
            Of a neutral.

        Examples
        --------
        >>> from overlays.signal.published import published_curve
        >>> from overlays.signal.levels import Carriage
        >>> from overlays.signal.signal import Range
        >>> video = CarriedCurve(published_curve("BT.709"), Carriage.NARROW, Range.LIMITED)
        >>> round(percent(100.0).stops(video), 2)  # log2(1 / 0.18)
        2.47
        """
        if self.unit is Unit.STOPS:
            return self.number
        return carried.percent_to_stops(self.number)

    def __str__(self) -> str:
        if self.unit is Unit.PERCENT:
            return f"{self.number:g} %"
        return f"{self.number:+g} st" if self.number else "0 st"


def percent(number: float) -> Level:
    """A level in percent.

    Parameters
    ----------
    number:
        0 is black, 100 nominal peak; may lie beyond.

    Returns
    -------
    Level
        In percent.

    Examples
    --------
    >>> percent(42.0)
    Level(number=42.0, unit=<Unit.PERCENT: '%'>)
    """
    return Level(float(number), Unit.PERCENT)


def stops(number: float) -> Level:
    """A level in stops.

    Parameters
    ----------
    number:
        0 is mid-grey.

    Returns
    -------
    Level
        In stops.

    Examples
    --------
    >>> stops(-1.5)
    Level(number=-1.5, unit=<Unit.STOPS: 'st'>)
    """
    return Level(float(number), Unit.STOPS)
