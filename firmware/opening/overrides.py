"""What stands on the command line against profile and feed, understood."""

from dataclasses import dataclass

from firmware.written.options import ReadOptions
from firmware.written.spelling import choice
from overlays.signal.levels import Carriage
from overlays.signal.signal import Matrix, Range, SignalOverride


@dataclass(frozen=True, slots=True)
class Overrides:
    """None leaves it to the profile, or to the feed."""

    curve: str | None = None
    carriage: Carriage | None = None
    range: Range | None = None
    matrix: Matrix | None = None

    @property
    def signal(self) -> SignalOverride:
        """The part that concerns the feed's signal."""
        return SignalOverride(self.range, self.matrix)


def overrides_of(options: ReadOptions) -> Overrides:
    """The overrides of a command; raises `ArgumentError` where a word is none of its kind."""
    o = options
    return Overrides(
        o.curve,
        None if o.carriage is None else choice(Carriage, o.carriage, "carriage"),
        None if o.range is None else choice(Range, o.range, "range"),
        None if o.matrix is None else choice(Matrix, o.matrix, "matrix"),
    )
