"""What the loop is handed besides a feed: a screen to paint, and what else is to happen."""

from collections.abc import Callable
from dataclasses import dataclass, field

from firmware.live.freshness import Freshness
from firmware.live.state import State
from firmware.opening.read_with import ReadWith
from firmware.profiles.model import Profile
from firmware.system.stages import Stages
from firmware.system.threads import FINISH_S, MAKING_S
from overlays.draw.moment.shown import Alert, Measured
from overlays.measure.counting.clip import FlatTop
from overlays.sharing.crew import ALONE, Crew

NO_JOURNAL = "not marked: there is no journal"
"""What a mark is answered where nobody keeps one."""


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
        At every turn, with the face shown and what it says.
    screenshot:
        Asked for by a press, with what can be read on the screen: saves, and answers with a note.
    is_over:
        Whether the feed is to give way to another; asked at every turn.
    preparing:
        What a measurement waits for that has to be made first, in words; empty for nothing.
    made:
        How much of that has been made so far: while it goes up, a silent stage is at work.
    is_making:
        Whether some of it is being made right now; one step of that may take a minute.
    is_warm:
        Whether all kernels are there; where not, what is drawn for the first time may take seconds.
    stages:
        The threads' signs of life, for whoever else watches them.
    mark:
        Asked for by a press, with what can be read on the screen, the state and what the frame was
        read with: hands it to the journal, and answers with a note.
    keep_clip:
        Asked for by a press, with the profile in use and the camera's clip as it was found: writes
        it, and answers with a note.
    light:
        Moves the panel's own light by so many steps, 0 for none, and says how it stands.
    shows_index:
        Whether a phone shows the index of views, whose figures are then measured.
    crew:
        Who shares the work of measuring a frame.
    alert:
        What of the machine's health is to stand on the screen now; asked at every turn, so it must
        answer at once.
    """

    first: Callable[[], None] = lambda: None
    warm: Callable[[], None] = lambda: None
    turn: Callable[[Freshness], None] = lambda _seen: None
    screenshot: Callable[[Measured | None], str] = lambda _measured: ""
    mark: Callable[[Measured | None, State, ReadWith], str] = lambda _measured, _state, _with: (
        NO_JOURNAL
    )
    light: Callable[[int], str] = lambda _steps: ""
    shows_index: Callable[[], bool] = lambda: False
    alert: Callable[[], Alert | None] = lambda: None
    preparing: Callable[[], str] = lambda: ""
    is_warm: Callable[[], bool] = lambda: True
    made: Callable[[], int] = lambda: 0
    is_making: Callable[[], bool] = lambda: False
    stages: Stages = field(default_factory=Stages)
    is_over: Callable[[], bool] = lambda: False
    keep_clip: Callable[[Profile, FlatTop | None], str] = lambda _profile, _top: ""
    crew: Crew = ALONE

    @property
    def end_s(self) -> float:
        """How long the end waits for a frame that is being measured."""
        return MAKING_S if self.is_making() else FINISH_S
