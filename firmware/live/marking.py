"""The journal beside a running loop: presses become marks, notes come back, alerts stand."""

import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from firmware.clock import Clock
from firmware.health.board import look_at_board
from firmware.journal.slate import NAME, Slate, parse_slate, read_slate, slate_text
from firmware.live.memories import Memories
from firmware.live.state import State
from firmware.opening.read_with import ReadWith
from firmware.system.files import save, unsaved
from firmware.system.start_up import Loading
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import Alert, Measured

if TYPE_CHECKING:
    from firmware.journal.recorder import Recorder


class Speaks(Protocol):
    """A loop, as far as a journal needs it."""

    state: State
    memories: Memories

    def say(self, words: str) -> None:
        """Show a note for a few seconds."""
        ...


class Marking:
    """Marks of one run, whatever its feeds.

    Parameters
    ----------
    path:
        Of the journal.
    slate:
        What the command line says of the clapper board.
    root:
        The file system to look in.
    """

    def __init__(self, path: Path, slate: str, clock: Clock, root: Path = Path("/")) -> None:
        self._path, self._slate, self._clock, self._root = path, slate, clock, root
        self._one = threading.Lock()
        self._told: Slate | None = None
        self._made: Recorder | None = None
        self._loading: Loading | None = None
        self._is_over = False

    def prepare(self) -> None:
        """Load what saving takes, beside the picture."""
        if self._loading is None:
            self._loading = Loading(lambda: None if self._is_over else self._recorder())

    def mark(self, seen: Measured | None, state: State, read_with: ReadWith) -> str:
        """Hand what is in view to the journal; says so, or why not.

        Right after a view was turned to, the frame on the screen is one that was measured for the
        view before: it is marked for the view in which the press was made, without that answer.
        """
        if seen is not None and seen.view is not state.view:
            seen = replace(seen, view=state.view, said=None, answer=None)
        return self._recorder().mark(seen, state.desk, dict(state.settings), read_with)

    @property
    def path(self) -> Path:
        """Of the journal."""
        return self._path

    def slate(self) -> Slate:
        """What marks carry now.

        Raises
        ------
        ArgumentError
            The file beside the journal cannot be understood.
        """
        if self._told is not None:
            return self._told
        return parse_slate(self._slate).over(read_slate(self._path.parent))

    def set_slate(self, slate: Slate) -> str:
        """Carry another from now on, in every field; says why where it will not outlive a restart.

        Waits for the card: not for the thread that draws.
        """
        if slate == self._told:
            return ""
        self._told = slate
        path = self._path.parent / NAME
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            save(path, slate_text(slate).encode())
        except OSError as fault:
            return unsaved(path, "slate", fault)
        return ""

    def turn(self, loop: Speaks, feed: str) -> None:
        """Say what was saved meanwhile, and look for what happened by itself."""
        made = self._made
        if made is None:
            return
        for words in made.notes():
            loop.say(words)
        made.see(loop.memories, loop.state.in_use, feed)

    def alert(self, other: Callable[[], Alert | None]) -> Callable[[], Alert | None]:
        """What is to stand on the screen: that marks wait, before anything that is less grave."""

        def told() -> Alert | None:
            made, machine = self._made, other()
            own = None if made is None else made.alert()
            return machine if own is None or (machine and machine.tone is Tone.ALARM) else own

        return told

    def close(self) -> str:
        """Save what waits, and end; says what was lost, if anything was."""
        # Where it is still being loaded, nothing was ever marked: not waited for.
        self._is_over = True
        return "" if self._made is None else self._made.close()

    def _recorder(self) -> "Recorder":
        with self._one:
            if self._made is None:
                # Not at the start: the picture comes first, and a mark is pressed seconds later.
                from firmware.journal.recorder import Machine, Recorder  # noqa: PLC0415

                machine = Machine(
                    self._clock,
                    self.slate,
                    lambda: look_at_board(self._root),
                    self._root,
                )
                made = Recorder(self._path, machine)
                made.start()
                self._made = made
            return self._made
