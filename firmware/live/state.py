"""What the appliance is set to, and what every press does to it. Pure: no device, no clock.

Only `after` changes it (and `railing` the rail's page): a press goes to the instrument in view
first; what that has no use for means the same in every view.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from enum import Enum
from typing import Any

from firmware.actions import Aim, Asked, PictureSize, PlaceSpot, Press
from firmware.feeds.base import FeedInfo
from firmware.instruments.contract import Around
from firmware.instruments.desk import Desk, inside
from firmware.instruments.registry import REGISTRY, Registry
from firmware.live.by_profile import ByProfile, Settings, taken_up
from firmware.live.locking import Locking
from firmware.live.monitor_steps import MONITOR_STEPS, following
from firmware.live.spot_steps import LEAST_SPOT, SPOT_STEPS
from firmware.live.stripe_steps import with_nudged
from firmware.profiles.model import Profile
from firmware.rail.pages import FIRST, At
from overlays.draw.layout.monitor import PLAIN, Monitor, without_cube
from overlays.draw.layout.views import TraceKind, View
from overlays.measure.counting.bands import Band
from overlays.measure.spot.spot import SpotPlace, default_size
from overlays.signal.signal import SignalOverride


class Running(Enum):
    """Whether the appliance goes on."""

    ON = "on"
    QUIT = "quit"


@dataclass(frozen=True, slots=True)
class State:
    """All settings.

    Attributes
    ----------
    profiles, profile:
        Those there are, and the index of the one in use.
    is_guess:
        Whether nobody asked for the profile in use and the feed names no curve.
    override:
        What the command line says of range and matrix.
    stripes, selected, painted:
        Its stripes as nudged, the one that is nudged, and whether they are painted.
    columns, rows, rate:
        Of the feed's picture, and its frames a second (0: unknown).
    spot:
        Always wholly inside the picture.
    view, trace, held, help, rail, is_resting:
        What is shown; the page of the rail; whether nobody has pressed anything for a while.
    screenshots, marks, kept_clips, dismissed, codes, partings:
        How often was asked so far for a picture of the screen, a mark, the clip that was found to
        be written in the profile, what is suspected to rest, a code for a phone, and phones to be
        forgotten.
    lights:
        By how many steps in all the panel's own light was asked to be brighter.
    sought, searches:
        What the spot was last sent to, and how often it was sent anywhere.
    desk, settings, monitor:
        What concerns several instruments, what each is set to, and how the picture is shown.
    locking, left:
        The lock, if there is one; what was set by hand with profiles used before, by their index.
    """

    profiles: tuple[Profile, ...]
    columns: int
    rows: int
    spot: SpotPlace
    view: View
    profile: int = 0
    is_guess: bool = False
    override: SignalOverride = field(default_factory=SignalOverride)
    rate: float = 0.0
    stripes: tuple[Band, ...] = ()
    selected: int = 0
    painted: bool = True
    trace: TraceKind = TraceKind.LUMA
    held: bool = False
    help: bool = False
    rail: At = FIRST
    is_resting: bool = False
    screenshots: int = 0
    marks: int = 0
    kept_clips: int = 0
    dismissed: int = 0
    codes: int = 0
    partings: int = 0
    lights: int = 0
    sought: Aim | None = None
    searches: int = 0
    running: Running = Running.ON
    desk: Desk = field(default_factory=Desk)
    settings: Settings = ()
    monitor: Monitor = PLAIN
    locking: Locking | None = None
    left: tuple[tuple[int, ByProfile], ...] = field(default=(), compare=False)
    registry: Registry = field(default=REGISTRY, compare=False, repr=False)

    @property
    def in_use(self) -> Profile:
        """The profile in use."""
        return self.profiles[self.profile]

    def setting(self, name: str) -> Any:  # noqa: ANN401 - each instrument has its own
        """What an instrument is set to."""
        return dict(self.settings)[name]


def first_state(
    profiles: tuple[Profile, ...],
    info: FeedInfo,
    view: View,
    *,
    is_guess: bool = False,
    override: SignalOverride = SignalOverride(),  # noqa: B008 - frozen
    registry: Registry = REGISTRY,
) -> State:
    """The state at the start: first profile, usual spot in the middle, instruments as they are."""
    profile, columns, rows = profiles[0], info.columns, info.rows
    return State(
        profiles,
        columns,
        rows,
        _usual_spot(profile, columns, rows),
        view,
        is_guess=is_guess,
        override=override,
        rate=info.rate,
        stripes=profile.stripes,
        monitor=profile.monitor or PLAIN,
        desk=Desk().with_pins_of(profile, columns, rows),
        settings=tuple((each.name, each.settings(profile, info.rate)) for each in registry),
        registry=registry,
    )


def after(state: State, action: Asked) -> State:
    """The state after an action."""
    if isinstance(action, PlaceSpot):
        return _with_spot(state, action.column, action.row, state.spot.size)
    if isinstance(action, PictureSize):
        return _resized(state, action)
    instrument = state.registry.in_view(state.view)
    around = Around(state.desk, state.in_use, state.columns)
    changed = instrument.pressed(state.setting(instrument.name), action, around)
    if changed is not None:
        return replace(_with_setting(state, instrument.name, changed[0]), desk=changed[1])
    if (step := MONITOR_STEPS.get(action)) is not None:
        return replace(state, monitor=step(state.monitor))
    if (change := SPOT_STEPS.get(action)) is not None:
        return replace(state, spot=change(state.spot, (state.columns, state.rows)))
    return _PRESSES.get(action, _elsewhere(action))(state)


def _with_setting(state: State, name: str, setting: Any) -> State:  # noqa: ANN401 - any's own
    settings = tuple((each, setting if each == name else old) for each, old in state.settings)
    return replace(state, settings=settings)


def _elsewhere(press: Press) -> Callable[[State], State]:
    """What a press does for instruments that listen in every view."""

    def listened(state: State) -> State:
        for instrument in state.registry:
            name = instrument.name
            setting = instrument.pressed_elsewhere(state.setting(name), press)
            if setting is not None:
                state = _with_setting(state, name, setting)
        return state

    return listened


def _usual_spot(profile: Profile, columns: int, rows: int) -> SpotPlace:
    size = default_size(rows, profile.spot_percent / 100.0)
    return inside(columns // 2, rows // 2, size, columns, rows)


def _with_spot(state: State, column: int, row: int, size: int) -> State:
    return replace(state, spot=inside(column, row, size, state.columns, state.rows))


def _resized(state: State, action: PictureSize) -> State:
    """The spot keeps its place and its share of the picture."""
    columns, rows, old = action.columns, action.rows, state.spot
    if (columns, rows) == (state.columns, state.rows):
        return state
    across, down = columns / state.columns, rows / state.rows
    size = max(2 * round(old.size * down / 2.0), LEAST_SPOT)
    spot = inside(round(old.column * across), round(old.row * down), size, columns, rows)
    desk = state.desk.resized((state.columns, state.rows), (columns, rows))
    return replace(state, columns=columns, rows=rows, spot=spot, desk=desk)


def _send(thing: Aim) -> Callable[[State], State]:
    """Where a thing is only the picture says: it is looked for by whoever has that."""
    return lambda state: replace(state, sought=thing, searches=state.searches + 1)


def _send_on(state: State) -> State:
    things = list(Aim)
    at = 0 if state.sought is None else things.index(state.sought) + 1
    return _send(things[at % len(things)])(state)


def with_profile(state: State, index: int) -> State:
    """The state with another profile in use, by its index."""
    profile, desk = state.profiles[index], state.desk
    # Nudged stripes and controls belong to the profile they were nudged on: they wait there.
    now = ByProfile(state.stripes, state.selected, state.settings, desk.dial_kelvin)
    left = {**dict(state.left), state.profile: now}
    found = taken_up(profile, left.get(index), state.settings, desk, state.registry, state.rate)
    desk = desk.with_pins_of(profile, state.columns, state.rows)
    return replace(
        state,
        profile=index,
        is_guess=False,
        stripes=found.stripes,
        selected=found.selected,
        desk=replace(desk, dial_kelvin=found.dial_kelvin),
        settings=found.settings,
        monitor=profile.monitor or without_cube(state.monitor),
        left=tuple(sorted(left.items(), key=lambda item: item[0])),
    )


def _turn_profile(by: int) -> Callable[[State], State]:
    return lambda state: with_profile(state, (state.profile + by) % len(state.profiles))


def _nudge_stripe(by: int) -> Callable[[State], State]:
    return lambda state: replace(state, stripes=with_nudged(state.stripes, state.selected, by))


def _turn_view(by: int) -> Callable[[State], State]:
    def turned(state: State) -> State:
        views = state.registry.views()
        return replace(state, view=views[(views.index(state.view) + by) % len(views)])

    return turned


_PRESSES: dict[Press, Callable[[State], State]] = {
    Press.SPOT_TO_CARD: _send(Aim.CARD),
    Press.SPOT_TO_BRIGHTEST: _send(Aim.BRIGHTEST),
    Press.SPOT_TO_DARKEST: _send(Aim.DARKEST),
    Press.SPOT_TO_CHIP: _send(Aim.CHIP),
    Press.SPOT_TO_PIN: _send(Aim.PIN),
    Press.SPOT_TO_NEXT: _send_on,
    Press.NEXT_PROFILE: _turn_profile(1),
    Press.PREVIOUS_PROFILE: _turn_profile(-1),
    Press.STRIPE_UP: _nudge_stripe(1),
    Press.STRIPE_DOWN: _nudge_stripe(-1),
    Press.NEXT_STRIPE: lambda state: replace(
        state, selected=(state.selected + 1) % max(len(state.stripes), 1)
    ),
    Press.STRIPES: lambda state: replace(state, painted=not state.painted),
    Press.TRACE: lambda state: replace(state, trace=following(state.trace)),
    Press.NEXT_VIEW: _turn_view(1),
    Press.PREVIOUS_VIEW: _turn_view(-1),
    Press.SET_PIN: lambda state: replace(state, desk=state.desk.with_pin(state.spot)),
    Press.LIFT_PIN: lambda state: replace(state, desk=state.desk.without_last_pin()),
    Press.HOLD: lambda state: replace(state, held=not state.held),
    Press.SCREENSHOT: lambda state: replace(state, screenshots=state.screenshots + 1),
    Press.MARK: lambda state: replace(state, marks=state.marks + 1),
    Press.KEEP_CLIP: lambda state: replace(state, kept_clips=state.kept_clips + 1),
    Press.DISMISS: lambda state: replace(state, dismissed=state.dismissed + 1),
    Press.SHOW_CODE: lambda state: replace(state, codes=state.codes + 1),
    Press.FORGET_PHONES: lambda state: replace(state, partings=state.partings + 1),
    Press.LIGHT_UP: lambda state: replace(state, lights=state.lights + 1),
    Press.LIGHT_DOWN: lambda state: replace(state, lights=state.lights - 1),
    Press.HELP: lambda state: replace(state, help=not state.help),
    Press.QUIT: lambda state: replace(state, running=Running.QUIT),
}
"""What presses mean in every view; others are for instruments that listen."""
