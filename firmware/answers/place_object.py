"""What every object of ``--json`` says of a spot: where it is, and what it is only a bound of."""

from overlays.measure.spot.spot import SpotPlace
from overlays.wording.reasons import Bound


def centre_of(place: SpotPlace) -> tuple[int, int, int]:
    """Its `x`, `y` and `size`."""
    return place.column, place.row, place.size


def sides_of(bound: Bound | None) -> tuple[bool, bool]:
    """Its `at_least` and `at_most`: a number that is no bound is neither."""
    return bound is Bound.AT_LEAST, bound is Bound.AT_MOST
