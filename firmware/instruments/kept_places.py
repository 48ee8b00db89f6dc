"""The native codes of a few places of a frame that is gone, and what they were read with.

What an instrument found long ago can be found again by them, once a mark is made of it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from firmware.instruments.codes import Codes, cut
from firmware.instruments.counted import Counted
from firmware.instruments.desk import Desk
from firmware.instruments.scene import Scene
from firmware.opening.read_with import ReadWith
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.signal import Signal


@dataclass(frozen=True, slots=True, eq=False)
class KeptPlaces:
    """Some ten kilobytes a place.

    Attributes
    ----------
    codes:
        Of the places.
    signal, shift, number, time_ns:
        Of the frame.
    yard, desk, place, read_with:
        Of the scene.
    counts:
        Of the whole picture by level; None where they are not needed.
    """

    codes: Codes
    signal: Signal
    shift: int
    number: int
    time_ns: int
    yard: Yardstick
    desk: Desk
    place: SpotPlace
    read_with: ReadWith
    counts: Counted | None = None

    @classmethod
    def of(
        cls, scene: Scene, places: Sequence[SpotPlace], *, is_counted: bool = False
    ) -> "KeptPlaces":
        """Some places of a scene; those that stick out of it are cut at its edge."""
        frame = scene.frame
        return cls(
            cut(frame, places),
            frame.signal,
            frame.shift,
            frame.number,
            frame.time_ns,
            scene.yard,
            scene.desk,
            scene.place,
            scene.read_with,
            Counted.of(scene.census) if is_counted else None,
        )
