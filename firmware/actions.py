"""All a person can ask for. Keyboard, buttons, touch and page all produce the same actions."""

from dataclasses import dataclass
from enum import Enum, auto

from overlays.signal.quantities import Level


class Press(Enum):
    """What one key or button asks for; what it means is decided by what is on the screen."""

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
    SPOT_TO_CARD = auto()
    SPOT_TO_BRIGHTEST = auto()
    SPOT_TO_DARKEST = auto()
    SPOT_TO_CHIP = auto()
    SPOT_TO_PIN = auto()
    SPOT_TO_NEXT = auto()
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
    SET_REFERENCE = auto()
    NEXT_UNIT = auto()
    HOLD = auto()
    SCREENSHOT = auto()
    KEEP_CLIP = auto()
    DISMISS = auto()
    SHOW_CODE = auto()
    FORGET_PHONES = auto()
    VIEW_TRANSFORM = auto()
    STOP_MAP = auto()
    MAGNIFY = auto()
    EDGES = auto()
    FRAME_LINES = auto()
    DESQUEEZE = auto()
    FLIP = auto()
    MIRROR = auto()
    LIGHT_UP = auto()
    LIGHT_DOWN = auto()
    HELP = auto()
    QUIT = auto()


GOES_ON = frozenset(
    {
        Press.SPOT_LEFT,
        Press.SPOT_RIGHT,
        Press.SPOT_UP,
        Press.SPOT_DOWN,
        Press.SPOT_LEFT_FINE,
        Press.SPOT_RIGHT_FINE,
        Press.SPOT_UP_FINE,
        Press.SPOT_DOWN_FINE,
        Press.SPOT_LARGER,
        Press.SPOT_SMALLER,
        Press.STRIPE_UP,
        Press.STRIPE_DOWN,
        Press.LIGHT_UP,
        Press.LIGHT_DOWN,
    }
)
"""What a key that is held down asks for again and again; all else is asked for once a press."""


class Aim(Enum):
    """What the spot can be sent to; the value is what it is called."""

    CARD = "card"
    BRIGHTEST = "brightest thing"
    DARKEST = "darkest thing"
    CHIP = "chip"
    PIN = "pin"
    CENTRE = "centre"


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


class Contact(Enum):
    """What a button did."""

    CLOSED = "closed"
    OPENED = "opened"


@dataclass(frozen=True, slots=True)
class Edge:
    """One of the rail's buttons, 0 to 3 from the left, closed or opened.

    `at_ns` says when, where that is known; else it is when somebody looks.
    """

    button: int
    contact: Contact
    at_ns: int | None = None


class Touch(Enum):
    """How long a button of the rail was pressed."""

    SHORT = "short"
    LONG = "long"
    AGAIN = "held on"
    """Still held: for what goes on while it is."""


@dataclass(frozen=True, slots=True)
class RailPress:
    """One of the rail's buttons was pressed: it means what its label says now."""

    button: int
    touch: Touch = Touch.SHORT


@dataclass(frozen=True, slots=True)
class ShowView:
    """The view of a name is to be shown."""

    name: str


@dataclass(frozen=True, slots=True)
class Rest:
    """Nobody has pressed anything for a while: the rail goes back to its first page."""


@dataclass(frozen=True, slots=True)
class HeldTogether:
    """Two buttons were held together for long."""


@dataclass(frozen=True, slots=True)
class Leave:
    """The system wants the end, or the window was closed: no lock keeps from that."""


@dataclass(frozen=True, slots=True)
class FromPage:
    """Asked for by a phone: as from a button, but that it lifts no lock unless a preset says so."""

    does: Press | PlaceSpot | ShowView


@dataclass(frozen=True, slots=True)
class SetAs:
    """A preset of the kit wants it so: view and profile by name, the goal; None leaves each."""

    view: str | None = None
    profile: str | None = None
    target: Level | None = None
    within_stops: float | None = None


Asked = Press | PlaceSpot | PictureSize
Meant = Asked | HeldTogether | Leave
"""What is left to do once it is known what the rail's buttons stand for."""
Action = Meant | Edge | RailPress | ShowView | Rest | FromPage | SetAs
"""Keys, buttons and touch: each yields the same actions."""
