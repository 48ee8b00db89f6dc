"""What a lamp that is alone has to say of a moment, and in which rhythm.

Steady light is fine; what asks for a hand flashes, and can be told by counting, also by people who
see no colours: under once, over twice, clipping three times, a fault four times, then a pause. No
feed goes on and off evenly. A short sign of life every four seconds says that there is nothing to
say.

No rhythm has more than two flashes in any second. Three are the most that do no harm (W3C, WCAG
2.2, success criterion 2.3.1); the third is left for the answer to a press.
"""

from enum import Enum

from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import Face, Shown
from overlays.measure.expose.side import Judgement, judge
from overlays.measure.spot.spot import SpotReading


class Saying(Enum):
    """One thing that is said; the value is what it means."""

    IN = "in band"
    UNDER = "under"
    OVER = "over"
    CLIPPING = "clipping"
    FAULT = "fault"
    NO_FEED = "no feed"
    NOTHING = "nothing to say"


FLASH_MS, DARK_MS, PAUSE_MS = 300, 300, 900
"""Of a count: flashes that are longer than a glance, and a pause that is longer than their gaps."""

COUNTS = {Saying.UNDER: 1, Saying.OVER: 2, Saying.CLIPPING: 3, Saying.FAULT: 4}
_EVENLY_MS, _LIFE_MS, _LIFE_EVERY_MS, _STEADY_MS = 500, 100, 4000, 2400

Step = tuple[bool, int]
"""Whether it is lit, and for how many milliseconds."""


def rhythm(saying: Saying) -> tuple[Step, ...]:
    """One round of what is said, to be repeated."""
    if saying is Saying.IN:
        return ((True, _STEADY_MS),)
    if saying is Saying.NO_FEED:
        return ((True, _EVENLY_MS), (False, _EVENLY_MS))
    if saying is Saying.NOTHING:
        return ((True, _LIFE_MS), (False, _LIFE_EVERY_MS - _LIFE_MS))
    flashes = ((True, FLASH_MS), (False, DARK_MS)) * COUNTS[saying]
    return (*flashes[:-1], (False, PAUSE_MS))


COLOURS: dict[Saying, tuple[bool, bool, bool]] = {
    Saying.IN: (False, True, True),
    Saying.UNDER: (False, False, True),
    Saying.OVER: (True, True, False),
    Saying.CLIPPING: (True, False, False),
    Saying.FAULT: (True, False, True),
    Saying.NO_FEED: (True, True, True),
    Saying.NOTHING: (True, True, True),
}
"""Red, green and blue of a lamp of three. Only whole colours: a lamp that is dimmed by switching is
seen as bars by the camera beside it."""

PAIR: dict[Saying, tuple[bool, bool]] = {
    Saying.IN: (True, True),
    Saying.UNDER: (False, True),
    Saying.OVER: (True, False),
    Saying.CLIPPING: (True, False),
    Saying.FAULT: (True, True),
    Saying.NO_FEED: (True, True),
    Saying.NOTHING: (True, True),
}
"""Of two lamps: the one for over, the one for under."""

_GONE = frozenset({Face.STALE, Face.LOST})


class Sayer:
    """Says of moment after moment what a lamp shows; remembers the side the spot was on."""

    def __init__(self) -> None:
        self._spot: SpotReading | None = None
        self._key: object = None
        self.judged = Judgement()

    def of(self, shown: Shown) -> tuple[Saying, ...]:
        """What is said in turns: of clipping and of the spot, where there is both."""
        judged = self._judged(shown)
        if shown.face is Face.STALLED or (
            shown.alert is not None and shown.alert.tone is Tone.ALARM
        ):
            return (Saying.FAULT,)
        if shown.face in _GONE:
            return (Saying.NO_FEED,)
        readable = shown.readable
        if readable is None:
            return (Saying.NOTHING,)
        spot, found = readable.spot, readable.range
        clipped = found is not None and found.headroom_stops == 0.0
        clipped = clipped or (spot is not None and spot.hides_light)
        side = (Saying.CLIPPING,) if clipped else ()
        if judged.side is not None:
            side = (*side, Saying[judged.side.name])
        return side or (Saying.NOTHING,)

    def _judged(self, shown: Shown) -> Judgement:
        readable = shown.readable
        if readable is None:
            self._spot, self.judged = None, Judgement(why=shown.face.value)
            return self.judged
        key = (shown.goal, readable.place, shown.source.read_as)
        before = self.judged.side if key == self._key else None
        if readable.spot is not self._spot or key != self._key or readable.spot is None:
            self.judged = judge(readable.spot, shown.goal, readable.yard, before)
        self._spot, self._key = readable.spot, key
        return self.judged
