"""What is to be measured: as the drawing thread says it to the one that measures."""

from dataclasses import dataclass

from firmware.instruments.desk import Desk
from firmware.live.by_profile import Settings
from firmware.live.state import State
from firmware.opening.read_with import ReadWith
from firmware.rail.pages import Leaf
from overlays.draw.layout.views import Readings, TraceKind, View
from overlays.measure.counting.bands import Band
from overlays.measure.spot.spot import SpotPlace


@dataclass(frozen=True, slots=True)
class Orders:
    """What is to be measured, as the drawing thread last said."""

    read_with: ReadWith
    stripes: tuple[Band, ...]
    place: SpotPlace
    trace: TraceKind
    view: View
    desk: Desk
    settings: Settings
    held: bool = False
    index: bool = False


def has_trace(view: View) -> bool:
    """Whether a view has a trace whose kind can be chosen."""
    return view.readings is Readings.BOTH


def orders_of(state: State, read_with: ReadWith, *, index: bool = False) -> Orders:
    """What a state asks for; the index too where it is shown elsewhere than on the screen."""
    view = state.view
    trace = state.trace if has_trace(view) else TraceKind.LUMA
    spot, desk, settings = state.spot, state.desk, state.settings
    asked = state.held, index or state.rail.leaf is Leaf.INDEX
    return Orders(read_with, state.stripes, spot, trace, view, desk, settings, *asked)
