"""What the loop is handed besides a feed: a screen to paint, and what else is to happen."""

from collections.abc import Callable
from dataclasses import dataclass

from firmware.profiles.model import Profile
from overlays.draw.moment.shown import Alert, Face, Measured
from overlays.measure.counting.clip import FlatTop


@dataclass(slots=True)
class Hooks:
    """What else is to happen, as the caller wishes.

    Attributes
    ----------
    first:
        After the first measured frame is seen.
    warm:
        Some seconds later, once nothing new needs to be loaded.
    turn:
        At every turn, with the face shown.
    screenshot:
        Asked for by a press, with what can be read on the screen: saves, and answers with a note.
    is_over:
        Whether the feed is to give way to another; asked at every turn.
    preparing:
        What the first measurement waits for, in words; asked while there is none.
    keep_clip:
        Asked for by a press, with the profile in use and the camera's clip as it was found: writes
        it, and answers with a note.
    alert:
        What of the machine's health is to stand on the screen now; asked at every turn, so it must
        answer at once.
    """

    first: Callable[[], None] = lambda: None
    warm: Callable[[], None] = lambda: None
    turn: Callable[[Face], None] = lambda _face: None
    screenshot: Callable[[Measured | None], str] = lambda _measured: ""
    alert: Callable[[], Alert | None] = lambda: None
    preparing: Callable[[], str] = lambda: ""
    is_over: Callable[[], bool] = lambda: False
    keep_clip: Callable[[Profile, FlatTop | None], str] = lambda _profile, _top: ""
