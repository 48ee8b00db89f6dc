"""The rail on the state: which page stands there, and what a press of its buttons does. Pure."""

from dataclasses import replace

from firmware.actions import (
    Action,
    Edge,
    FromPage,
    PictureSize,
    Press,
    RailPress,
    Rest,
    SetAs,
    ShowView,
    Touch,
)
from firmware.live.locked import after, is_locked, refused, takes
from firmware.live.set_as import set_as
from firmware.live.state import State
from firmware.presets.model import Allowed
from firmware.rail.pages import FIRST, At, Leaf, Meaning, Page
from firmware.rail.tree import Surroundings, page
from overlays.draw.layout.views import TraceKind
from overlays.draw.moment.lineup import GUIDE
from overlays.draw.moment.shown import RailLabel


def now_of(state: State) -> Surroundings:
    """What labels depend on."""
    instrument = state.registry.in_view(state.view)
    kinds = list(TraceKind)
    return Surroundings(
        tuple(view.name for view in state.registry.views()),
        state.view.name,
        instrument.offers(state.setting(instrument.name)),
        is_painted=state.painted,
        is_held=state.held,
        has_help=state.help,
        next_trace=kinds[(kinds.index(state.trace) + 1) % len(kinds)].value,
        lineup_steps=len(GUIDE),
    )


def page_of(state: State) -> Page:
    """What the four buttons mean."""
    return page(state.rail, now_of(state))


def labels_of(state: State) -> tuple[RailLabel, ...]:
    """What stands over the four buttons; on a locked unit only what it takes, if anything."""
    labels = tuple(
        RailLabel(_label(state, slot.pressed), _label(state, slot.held)) for slot in page_of(state)
    )
    return labels if not is_locked(state) or any(map(_says, labels)) else ()


def _label(state: State, meaning: Meaning | None) -> str:
    if meaning is None or (is_locked(state) and not _is_taken(state, meaning)):
        return ""
    return meaning.label


def _is_taken(state: State, meaning: Meaning) -> bool:
    return isinstance(meaning.does, Press) and takes(state, meaning.does)


def _says(label: RailLabel) -> bool:
    return bool(label.pressed or label.held)


def index_of(state: State) -> tuple[str, ...]:
    """Names of the views while the index is shown; else none."""
    if state.rail.leaf is not Leaf.INDEX or state.help:
        return ()
    return tuple(view.name for view in state.registry.views())


def is_lining_up(state: State) -> bool:
    """Whether the panel itself is being set, with bars in place of the camera's picture."""
    return state.rail.leaf is Leaf.LINEUP and not state.help


def acted(state: State, action: Action) -> State:  # noqa: PLR0911 - one for each kind of action
    """The state after anything that can be done; whatever a person does brings the rail back."""
    if isinstance(action, PictureSize):
        return after(state, action)
    if isinstance(action, Rest) and is_lining_up(state):
        return state  # whoever sets the panel has both hands there
    if isinstance(action, Rest):
        return replace(state, rail=FIRST, is_resting=True)
    if isinstance(action, FromPage):
        return _from_page(state, action)
    if isinstance(action, Edge):
        return state  # what it means is known once it is known how long it lasts
    if isinstance(action, SetAs):
        return set_as(state, action)
    state = replace(state, is_resting=False)
    if isinstance(action, ShowView) and is_locked(state):
        return refused(state)
    if isinstance(action, ShowView):
        return replace(state, view=state.registry.view(action.name), rail=FIRST)
    return _railed(state, action) if isinstance(action, RailPress) else after(state, action)


def _railed(state: State, action: RailPress) -> State:
    """What the label over a button stands for."""
    entry = page_of(state)[action.button].entry(action.touch)
    if is_locked(state) and (entry is None or not isinstance(entry.does, Press)):
        # No page is turned either: it stays where its preset put it. Held on is refused once.
        return state if action.touch is Touch.AGAIN else refused(state)
    if entry is None:
        return state
    if isinstance(entry.does, At):
        return replace(state, rail=entry.does)
    state = acted(state, entry.does)
    return replace(state, rail=FIRST) if entry.ends else state


def _from_page(state: State, action: FromPage) -> State:
    """As from a button; what it does to a lock's code is forgotten, unless the preset allows it."""
    was = state.locking
    if was is None or not was.is_on or Allowed.PAGE in was.lock.allows:
        return acted(state, action.does)
    blunt = replace(was, lock=replace(was.lock, code=()), typed=())
    made = acted(replace(state, locking=blunt), action.does)
    now = made.locking
    return (
        made if now is None else replace(made, locking=replace(now, lock=was.lock, typed=was.typed))
    )
