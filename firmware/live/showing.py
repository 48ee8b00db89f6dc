"""What goes between the loop's threads, and what of it goes to the screen."""

from dataclasses import dataclass

from firmware.controls.keyboard import help_entries
from firmware.feeds.base import FeedInfo
from firmware.live.freshness import Freshness
from firmware.live.orders import Orders
from firmware.live.railing import index_of, is_lining_up, labels_of
from firmware.live.state import State
from firmware.live.stripes_shown import band_words
from overlays.draw.layout.layouts import rests_unseen
from overlays.draw.moment.lineup import Lineup
from overlays.draw.moment.shown import Alert, Face, Measured, Shown, Source, StripeShown
from overlays.signal.frame import Frame


@dataclass(frozen=True, slots=True, eq=False)
class Arrived:
    """A frame, and when it came in."""

    frame: Frame
    at_ns: int


@dataclass(frozen=True, slots=True, eq=False)
class Ready:
    """A frame that is measured, and when it came in."""

    measured: Measured
    at_ns: int


@dataclass(frozen=True, slots=True)
class Besides:
    """What stands on the screen for a while besides the picture and its numbers."""

    warnings: tuple[str, ...]
    note: str
    alert: Alert | None
    turn: int
    light: str = ""
    """How the panel's own light stands, while that is set."""


def shown_of(
    state: State,
    info: FeedInfo,
    orders: Orders,
    measured: Measured | None,
    seen: Freshness,
    said: Besides,
) -> Shown:
    """All of one moment, for the painter."""
    read_as = orders.read_with
    if measured is None:
        stripes = tuple(StripeShown(band_words(band), None) for band in state.stripes)
    else:
        stripes = measured.stripes
    profile, feed = state.in_use, f"{info.name}: {info.words}"
    face = seen.face
    if face is Face.LIVE and state.locking is not None and state.locking.is_on:
        face = Face.LOCKED
    return Shown(
        view=state.view,
        trace=orders.trace,
        measured=measured,
        face=face,
        face_words=seen.words,
        source=Source(profile.title, profile.curve.name, feed, info.is_simulated),
        stripes=stripes,
        selected=state.selected,
        painted=state.painted,
        warnings=(*read_as.warnings, *read_as.contradicted, *said.warnings),
        note=said.note,
        alert=said.alert,
        help=help_entries() if state.help else (),
        turn=said.turn,
        monitor=state.monitor,
        goal=profile.goal,
        index=index_of(state),
        lineup=Lineup(state.rail.number, said.light) if is_lining_up(state) else None,
        rail=() if state.is_resting and rests_unseen(state.view) else labels_of(state),
    )
