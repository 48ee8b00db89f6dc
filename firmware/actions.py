"""All a person can ask for. Keyboard, buttons, touch and page all produce the same actions."""

from dataclasses import dataclass
from enum import Enum, auto


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
    HOLD = auto()
    SCREENSHOT = auto()
    KEEP_CLIP = auto()
    DISMISS = auto()
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


@dataclass(frozen=True, slots=True)
class HeldTogether:
    """Two buttons were held together for long."""


@dataclass(frozen=True, slots=True)
class Leave:
    """The system wants the end, or the window was closed: no lock keeps from that."""


Asked = Press | PlaceSpot | PictureSize
Action = Asked | HeldTogether | Leave
