"""The yardstick that frames are counted by, kept for as long as nothing it is made of changes."""

from firmware.live.kept_ceilings import Ceilings
from firmware.opening.read_with import ReadWith
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.range_reading import RangeReading
from overlays.signal.frame import Frame
from overlays.signal.signal import Signal


class Yards:
    """Makes yardsticks; the same one as before where nothing has changed, which saves its tables.

    Parameters
    ----------
    ceilings:
        Where the camera was found to clip, by what it is read with.
    """

    def __init__(self, ceilings: Ceilings) -> None:
        self._ceilings = ceilings
        self._made: tuple[ReadWith, Signal, int, Yardstick] | None = None
        self._under: tuple[Yardstick, Yardstick] | None = None

    def base(self, frame: Frame, read_with: ReadWith) -> Yardstick:
        """For frames like this one, as the profile says."""
        made = self._made
        if made is not None and made[:3] == (read_with, frame.signal, frame.shift):
            return made[3]
        yard = read_with.yardstick(frame.signal, frame.shift)
        self._made = (read_with, frame.signal, frame.shift, yard)
        return yard

    def under_ceilings(self, base: Yardstick, read_with: ReadWith) -> Yardstick:
        """The same under what is known of the camera's ceilings."""
        top, doubts = self._ceilings.known(read_with, base.signal)
        kept = self._under
        if kept is None or kept[0] is not base or kept[1].under(top, doubts) is not kept[1]:
            kept = self._under = base, base.under(top, doubts)
        return kept[1]

    def see(self, base: Yardstick, read_with: ReadWith, found: RangeReading) -> None:
        """A live frame showed where its camera clips, or that it does not there."""
        self._ceilings.see(read_with, base, found)
