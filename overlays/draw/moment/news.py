"""Whether a moment says anything that the one before did not: most bring a picture alone."""

from overlays.draw.moment.shown import Shown
from overlays.measure.range.range_reading import RangeReading
from overlays.measure.spot.spot import SpotReading


class News:
    """What was said last."""

    def __init__(self) -> None:
        self._said: tuple[object, ...] = ()

    def forget(self) -> None:
        """Whatever is said next is new."""
        self._said = ()

    def is_new(self, said: tuple[object, ...]) -> bool:
        """Whether it is not what was said last; it is from now on."""
        same = len(said) == len(self._said) and all(map(_same, said, self._said))
        self._said = said
        return not same


def said_of(shown: Shown) -> tuple[object, ...]:
    """All that readings are made of."""
    readable = shown.readable
    numbers = (
        (None, None, None, ())
        if readable is None
        else (readable.spot, readable.range, readable.said, readable.frame.notes)
    )
    stripes = (shown.stripes, shown.selected, shown.painted, shown.monitor)
    said = (*numbers, shown.face, shown.source, *stripes, shown.warnings)
    return (*said, shown.face_words, shown.alert, shown.note, shown.turn)


def _same(one: object, other: object) -> bool:
    """Readings hold arrays and are told apart by identity; all else by what it is."""
    return one is other or (not isinstance(one, SpotReading | RangeReading) and one == other)
