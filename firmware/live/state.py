"""What the appliance is set to, and what every press does to it. Pure: no device, no clock.

Keyboard, buttons, touch and page all produce the same presses; `after` is the only way the state
changes.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from enum import Enum, auto

from firmware import state_colour, state_exposure
from firmware.profiles.model import Profile
from firmware.state_colour import Colouring
from firmware.state_exposure import Setup, inside
from overlays.draw.layout.views import TraceKind, View
from overlays.measure.counting.bands import Band
from overlays.measure.spot.spot import SpotPlace, default_size
from overlays.signal.quantities import Level, Unit

COARSE_SHARE = 40
"""A coarse step of the spot is picture width divided by this: 48 pixels of 1920."""

GROWTH = 1.25
"""From one size of the spot to the next."""

LEAST_SPOT = 4
"""Edge of the smallest spot in pixels."""
THIRD_STOP = 1.0 / 3.0
"""Camera controls move in third stops (common practice, no source)."""

PERCENT_STEP = 1.0
LEVEL_LIMITS = {Unit.STOPS: (-14.0, 14.0), Unit.PERCENT: (-7.0, 109.0)}
"""How far a stripe can be nudged: what any curve and any code of limited range holds."""


class Press(Enum):
    """All a person can ask for."""

    SPOT_LEFT = auto()
    SPOT_RIGHT = auto()
    SPOT_UP = auto()
    SPOT_DOWN = auto()
    SPOT_LEFT_FINE = auto()
    SPOT_RIGHT_FINE = auto()
    SPOT_UP_FINE = auto()
    SPOT_DOWN_FINE = auto()
    SPOT_LARGER = auto()
    SPOT_SMALLER = auto()
    SPOT_CENTRE = auto()
    NEXT_PROFILE = auto()
    PREVIOUS_PROFILE = auto()
    STRIPE_UP = auto()
    STRIPE_DOWN = auto()
    NEXT_STRIPE = auto()
    STRIPES = auto()
    TRACE = auto()
    NEXT_VIEW = auto()
    PREVIOUS_VIEW = auto()
    SET_PIN = auto()
    LIFT_PIN = auto()
    MARK = auto()
    HOLD = auto()
    SCREENSHOT = auto()
    HELP = auto()
    QUIT = auto()


@dataclass(frozen=True, slots=True)
class PlaceSpot:
    """The spot is to be at a pixel of the picture."""

    column: int
    row: int


@dataclass(frozen=True, slots=True)
class PictureSize:
    """The feed's picture has another size than before."""

    columns: int
    rows: int


Action = Press | PlaceSpot | PictureSize


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
    stripes, selected, painted:
        Its stripes as nudged, the one that is nudged, and whether they are painted.
    columns, rows:
        Of the feed's picture.
    spot:
        Always wholly inside the picture.
    view, trace, held, help:
        What is shown.
    screenshots:
        How many were asked for so far.
    setup, colour:
        Pins, marks and the camera's controls; what the views of colour are set to.
    """

    profiles: tuple[Profile, ...]
    columns: int
    rows: int
    spot: SpotPlace
    profile: int = 0
    stripes: tuple[Band, ...] = ()
    selected: int = 0
    painted: bool = True
    view: View = View.EXPOSE
    trace: TraceKind = TraceKind.LUMA
    held: bool = False
    help: bool = False
    screenshots: int = 0
    running: Running = Running.ON
    setup: Setup = field(default_factory=Setup)
    colour: Colouring = field(default_factory=Colouring)

    @property
    def in_use(self) -> Profile:
        """The profile in use."""
        return self.profiles[self.profile]


def first_state(
    profiles: tuple[Profile, ...], columns: int, rows: int, view: View = View.EXPOSE
) -> State:
    """The state at the start: first profile, usual spot in the middle."""
    profile = profiles[0]
    spot = _usual_spot(profile, columns, rows)
    setup = state_exposure.with_profile(Setup(), profile, columns, rows)
    return State(profiles, columns, rows, spot, stripes=profile.stripes, view=view, setup=setup)


def after(state: State, action: Action) -> State:
    """The state after an action."""
    if isinstance(action, PlaceSpot):
        return _with_spot(state, action.column, action.row, state.spot.size)
    if isinstance(action, PictureSize):
        return _resized(state, action)
    dial = state.in_use.dial
    colour = state_colour.pressed(state.colour, state.view, action.name, state.columns, dial)
    if colour is not None:
        return replace(state, colour=colour)
    setup = state_exposure.pressed(state.setup, state.view, action.name)
    if setup is not None:
        return replace(state, setup=setup)
    return _PRESSES[action](state)


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
    setup = state_exposure.resized(state.setup, (state.columns, state.rows), (columns, rows))
    return replace(state, columns=columns, rows=rows, spot=spot, setup=setup)


def _move(across: int, down: int) -> Callable[[State], State]:
    def moved(state: State) -> State:
        spot, step = state.spot, max(state.columns // COARSE_SHARE, 2)
        return _with_spot(state, spot.column + across * step, spot.row + down * step, spot.size)

    return moved


def _nudge_spot(across: int, down: int) -> Callable[[State], State]:
    def moved(state: State) -> State:
        spot = state.spot
        return _with_spot(state, spot.column + across, spot.row + down, spot.size)

    return moved


def _grow(factor: float) -> Callable[[State], State]:
    def grown(state: State) -> State:
        spot = state.spot
        size = 2 * round(spot.size * factor / 2.0)
        if size == spot.size:
            size += 2 if factor > 1.0 else -2
        size = min(max(size, LEAST_SPOT), state.columns, state.rows)
        return _with_spot(state, spot.column, spot.row, size)

    return grown


def _centre(state: State) -> State:
    return _with_spot(state, state.columns // 2, state.rows // 2, state.spot.size)


def _turn_profile(by: int) -> Callable[[State], State]:
    def turned(state: State) -> State:
        index = (state.profile + by) % len(state.profiles)
        # Nudged stripes belong to the profile they were nudged on.
        profile = state.profiles[index]
        setup = state_exposure.with_profile(state.setup, profile, state.columns, state.rows)
        return replace(state, profile=index, stripes=profile.stripes, selected=0, setup=setup)

    return turned


def _nudge_stripe(by: int) -> Callable[[State], State]:
    def nudged(state: State) -> State:
        if not state.stripes:
            return state
        band = state.stripes[state.selected]
        changed = replace(band, at=_nudged(band.at, by))
        before, behind = state.stripes[: state.selected], state.stripes[state.selected + 1 :]
        return replace(state, stripes=(*before, changed, *behind))

    return nudged


def _nudged(level: Level, by: int) -> Level:
    low, high = LEVEL_LIMITS[level.unit]
    step = THIRD_STOP if level.unit is Unit.STOPS else PERCENT_STEP
    moved = min(max(level.number + by * step, low), high)
    whole = round(moved / step) * step
    # Thirds add up to whole stops: what is a rounding error away from a step is that step.
    return Level((whole if abs(whole - moved) < 1e-9 else moved) + 0.0, level.unit)


def _next_stripe(state: State) -> State:
    count = max(len(state.stripes), 1)
    return replace(state, selected=(state.selected + 1) % count)


def _turn_view(by: int) -> Callable[[State], State]:
    def turned(state: State) -> State:
        views = list(View)
        return replace(state, view=views[(views.index(state.view) + by) % len(views)])

    return turned


def _next_trace(state: State) -> State:
    kinds = list(TraceKind)
    return replace(state, trace=kinds[(kinds.index(state.trace) + 1) % len(kinds)])


_PRESSES: dict[Press, Callable[[State], State]] = {
    Press.SPOT_LEFT: _move(-1, 0),
    Press.SPOT_RIGHT: _move(1, 0),
    Press.SPOT_UP: _move(0, -1),
    Press.SPOT_DOWN: _move(0, 1),
    Press.SPOT_LEFT_FINE: _nudge_spot(-1, 0),
    Press.SPOT_RIGHT_FINE: _nudge_spot(1, 0),
    Press.SPOT_UP_FINE: _nudge_spot(0, -1),
    Press.SPOT_DOWN_FINE: _nudge_spot(0, 1),
    Press.SPOT_LARGER: _grow(GROWTH),
    Press.SPOT_SMALLER: _grow(1.0 / GROWTH),
    Press.SPOT_CENTRE: _centre,
    Press.NEXT_PROFILE: _turn_profile(1),
    Press.PREVIOUS_PROFILE: _turn_profile(-1),
    Press.STRIPE_UP: _nudge_stripe(1),
    Press.STRIPE_DOWN: _nudge_stripe(-1),
    Press.NEXT_STRIPE: _next_stripe,
    Press.STRIPES: lambda state: replace(state, painted=not state.painted),
    Press.TRACE: _next_trace,
    Press.NEXT_VIEW: _turn_view(1),
    Press.PREVIOUS_VIEW: _turn_view(-1),
    Press.SET_PIN: lambda s: replace(s, setup=state_exposure.set_pin(s.setup, s.spot)),
    Press.LIFT_PIN: lambda s: replace(s, setup=state_exposure.lift_pin(s.setup)),
    Press.MARK: lambda s: replace(s, setup=state_exposure.mark(s.setup, s.view)),
    Press.HOLD: lambda state: replace(state, held=not state.held),
    Press.SCREENSHOT: lambda state: replace(state, screenshots=state.screenshots + 1),
    Press.HELP: lambda state: replace(state, help=not state.help),
    Press.QUIT: lambda state: replace(state, running=Running.QUIT),
}
