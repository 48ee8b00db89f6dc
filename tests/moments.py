"""Every view of a feed at a moment, from one loop without threads: for whoever reads or looks."""

from collections.abc import Callable, Sequence

from firmware.actions import Action, PlaceSpot, Press
from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.instruments.registry import REGISTRY
from firmware.live.loop import Loop
from firmware.live.starting import starting_state
from firmware.opening.overrides import Overrides
from firmware.opening.session import open_session
from overlays.draw.moment.shown import Shown
from tests.golden.playing import Timed, turned_by_hand

MARKED = {"match", "watch", "balance"}
"""Views that say more once something was marked."""


class Reader:
    """A board that hands every moment on instead of painting it."""

    def __init__(self, seen: Callable[[Shown], None]) -> None:
        self.seen = seen
        self.presses: list[Action] = []

    def actions(self):
        given, self.presses = self.presses, []
        return given

    def paint(self, shown):
        self.last = shown

    def flip(self):
        pass


def every_view(
    feed: str,
    profile: str | None,
    seen: Callable[[Shown], None],
    *,
    pins: Sequence[tuple[int, int]] = (),
    spot: tuple[int, int] | None = None,
    warnings: tuple[str, ...] = (),
    presses: dict[str, tuple[Press, ...]] | None = None,
    views: Sequence[str] | None = None,
) -> None:
    """Show each view once it has measured, and once more after what is marked there.

    Parameters
    ----------
    seen:
        Called with each moment while its frame and counts are there.
    pins, spot:
        Pixels of the feed's picture.
    presses:
        What else is pressed in a view before it is seen, by its name.
    views:
        Those to be shown; None shows all.
    """
    clock = HandClock(start_ns=10**9, wall_start_s=1_700_000_000.0)
    session = open_session(feed, profile, Overrides(), clock=HandClock(10**9), pace=Pace.STEP)
    reader = Reader(seen)
    loop = Loop(
        Timed(session.feed, clock),
        starting_state(session, REGISTRY.view(None)),
        reader,
        clock,
        warnings,
    )
    turned_by_hand(loop)

    def measured() -> None:
        loop._take_frame()
        loop._measure_frame()
        loop.turn()

    for column, row in pins:
        reader.presses += [PlaceSpot(column, row), Press.SET_PIN]
    if spot is not None:
        reader.presses.append(PlaceSpot(*spot))
    loop.turn()
    for view in REGISTRY.views():
        while loop.state.view is not view:
            reader.presses.append(Press.NEXT_VIEW)
            loop.turn()
        if views is not None and view.name not in views:
            continue
        measured()
        reader.presses += (presses or {}).get(view.name, ())
        measured()  # with what was ordered before
        measured()
        if reader.presses or (presses or {}).get(view.name):
            measured()  # a press is obeyed after the frame that it came with
        seen(reader.last)
        if view.name in MARKED:
            reader.presses.append(Press.SET_REFERENCE)
            measured()
            measured()
            seen(reader.last)
    session.feed.close()
