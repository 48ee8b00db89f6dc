"""Signs of a wrong feed while it runs: looked for once a second, said until they are dismissed."""

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from firmware.clock import Clock
from firmware.live.meantime import Meantime, timed
from overlays.draw.moment.shown import Alert, Measured
from overlays.measure.counting.census import Census
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.suspicion.blends import Blends
from overlays.measure.suspicion.bottom import flat_bottom
from overlays.measure.suspicion.burnt_in import drawn_stripes
from overlays.measure.suspicion.by_levels import by_levels
from overlays.measure.suspicion.by_picture import by_picture, standing
from overlays.measure.suspicion.repeats import Repeats
from overlays.measure.suspicion.suspected import Sign, Suspicion
from overlays.sharing.stepwise import Steps
from overlays.signal.carried import CarriedCurve
from overlays.signal.frame import Frame, Plane
from overlays.signal.kept_frame import Copier
from overlays.signal.levels import luma_scale

EVERY_NS = 1_000_000_000
RESTS = 50
"""A look rests so many times as long as it took: on a small board several times what it takes on a
workstation (12 ms at 1080p)."""
LASTING = 3
"""Looks in a row that must see a sign: one picture of a film may look like anything."""

FEW = 6
"""Rows of luma that are held of each frame: what is asked of every one may cost next to nothing."""

THINNED = 2
"""Every so many rows and columns are held from look to look."""


ALERTS = (
    (
        frozenset({Sign.RESERVED, Sign.COMB, Sign.SQUEEZED}),
        Alert("the range is suspected: make a feed check", name="RANGE?"),
    ),
    (
        frozenset({Sign.LOG, Sign.BELOW_LOG}),
        Alert("the curve is suspected: is it the camera's profile?", name="CURVE?"),
    ),
)
"""Signs by which every level is off, gravest first; the others cost parts of a picture."""


class Suspicions:
    """What is suspected of a feed.

    `attend`, and what it calls, belongs to the thread that measures; what was found is read, and
    dismissed, by the one that draws.

    Parameters
    ----------
    clock:
        Says what a look costs.
    """

    def __init__(self, clock: Clock) -> None:
        self._clock, self._rests_ns, self._copier = clock, EVERY_NS, Copier()
        self._looked_ns: int | None = None
        self._is_looking = False
        self._seen: dict[Sign, int] = {}
        self._now: tuple[Suspicion, ...] = ()
        self._dismissed: frozenset[Sign] = frozenset()
        self._before: Plane | None = None
        self._repeats, self._blends = Repeats(), Blends()
        self._heard = 0
        self._carried: CarriedCurve | None = None

    def attend(self, measured: Measured, meantime: Meantime, *, is_held: bool = False) -> None:
        """Look at a live frame: at each for repeats; meanwhile at one a second for all else.

        What comes in behind a frame that is held is not looked at.
        """
        if is_held:
            return
        self._glance(measured)
        if not self._is_looking and self._is_due(measured.frame):
            self._is_looking = True
            frame, census = self._copier.copy(measured.frame), measured.census.copy()
            meantime.add(self._look_on(self._look(frame, census, measured.yard)))

    def _look_on(self, steps: Iterator[None]) -> Iterator[None]:
        """One look at a time: it has the only copy, and other work may wait there all the time."""
        try:
            yield from steps
        finally:
            self._is_looking = False

    def _glance(self, measured: Measured) -> None:
        """What is asked of every live frame, and costs next to nothing."""
        frame = measured.frame
        if measured.yard.carried != self._carried:  # another curve has other signs
            self._carried = measured.yard.carried
            self._looked_ns, self._seen, self._now = None, {}, ()
        self._repeats.see(frame.number, measured.census.levels[::16].astype(np.int64))
        self._blends.see(frame.number, _few_rows(frame))

    def _is_due(self, frame: Frame) -> bool:
        """Whether a frame is to be looked at for all else; asked once, since it then is."""
        looked = self._looked_ns
        if looked is not None and 0 <= frame.time_ns - looked < self._rests_ns:
            return False
        self._looked_ns = frame.time_ns
        return True

    def _look(self, frame: Frame, census: Census, yard: Yardstick) -> Iterator[None]:
        """At a frame for all that costs something, in steps."""
        took: list[int] = []
        found = yield from timed(self._signs(frame, census, yard), self._clock, took.append)
        if yard.carried != self._carried:  # another curve since: its signs are others
            return
        if any(each.sign is Sign.BARS for each in found):  # their edges stand still too
            found = [each for each in found if each.sign not in {Sign.MENU, Sign.FLOOR}]
        self._seen = {each.sign: self._seen.get(each.sign, 0) + 1 for each in found}
        self._now = tuple(each for each in found if self._seen[each.sign] >= LASTING)
        self._rests_ns = max(EVERY_NS, RESTS * sum(took))

    def _signs(self, frame: Frame, census: Census, yard: Yardstick) -> Steps[list[Suspicion]]:
        found = list(by_levels(census, yard))
        yield
        found += by_picture(frame)
        yield
        if yard.carried == self._carried:
            for each in self._still(frame, yard):
                found += [] if each is None else [each]
                yield
        last = self._repeats.suspicion(), self._blends.suspicion()
        return found + [each for each in last if each is not None]

    def dismiss(self, times: int) -> None:
        """All that is said now is said no more, once the person has asked so often."""
        if times != self._heard:
            self._heard = times
            self._dismissed |= {each.sign for each in self._now}

    @property
    def _left(self) -> list[Suspicion]:
        return [each for each in self._now if each.sign not in self._dismissed]

    @property
    def alert(self) -> Alert | None:
        """What is to be seen from two metres: that levels are read wrongly; None without that."""
        signs = {each.sign for each in self._left}
        return next((alert for of, alert in ALERTS if of & signs), None)

    @property
    def words(self) -> tuple[str, ...]:
        """One line: the gravest, and how many more there are; empty where nothing is suspected."""
        left = self._left
        if not left:
            return ()
        more = f", and {len(left) - 1} more" if len(left) > 1 else ""
        return (f"suspected: {left[0].words}{more}; dismiss it where you know better",)

    def _still(self, frame: Frame, yard: Yardstick) -> Iterator[Suspicion | None]:
        """What a picture in little shows, alone and against that of the look before."""
        thin = frame.planes[0][::THINNED, ::THINNED].copy()
        before, self._before = self._before, thin
        scale, stored = luma_scale(frame.signal), 1 << frame.shift
        span = scale.span * stored
        yield drawn_stripes(thin, span)
        if before is None or before.shape != thin.shape:
            return
        black = scale.zero * stored + span * float(yard.carried.nominal(0.0))
        yield flat_bottom(before, thin, black, span)
        yield standing(before, thin, span)


def _few_rows(frame: Frame) -> npt.NDArray[np.float32]:
    """Some rows of luma in codes."""
    every = max(frame.planes[0].shape[0] // FEW, 1)
    return frame.planes[0][every // 2 :: every].astype(np.float32) / np.float32(1 << frame.shift)
