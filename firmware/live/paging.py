"""The page beside a running loop: what is painted goes to phones, what they ask comes as presses.

A phone's press takes the way of a button's: it is an action among the board's, which `Hands` and
the lock see before the state does. Nothing here waits for a phone, and where the page is not
switched on none of it is loaded.
"""

import os
import socket
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from firmware.actions import Action, FromPage, PlaceSpot, Press, ShowView
from firmware.clock import Clock
from firmware.controls.panel import Board
from firmware.errors import PageError
from firmware.health.storage import kept_in
from firmware.live.kitting import Kitting
from firmware.live.marking import Marking
from firmware.live.page_standing import seen_of, standing_of, taken_of
from firmware.live.run_plan import RunPlan
from firmware.live.state import State
from firmware.update.places import INCOMING
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import Alert, Shown

if TYPE_CHECKING:
    from firmware.page.asked import Doing
    from firmware.page.served import Served
    from firmware.page.server import Server
    from firmware.page.standing import PageState

OFF = 'there is no page: switch it on with page = "on" in the preset, or --page'
SHOWN_NS = 600_000_000_000
"""How long a code stands on the screen; one for the first phone can be used for longer."""
LACKING = "the page needs what the extra page brings: .venv/bin/pip install '.[page]'"


class Paging:
    """The page of one run, whatever its feeds.

    Parameters
    ----------
    options:
        Where it is served, if anywhere.
    marking:
        Whose slate it sets, and whose journal it hands out.
    say:
        Takes a sentence for the log.
    kitting:
        Whose units it shows, where there is a kit.

    Attributes
    ----------
    said:
        What is to be said on the screen of a page that cannot be served.
    """

    def __init__(
        self,
        options: RunPlan,
        clock: Clock,
        marking: Marking,
        say: Callable[[str], None],
        kitting: Kitting | None = None,
    ) -> None:
        self._clock, self._say, self._kitting = clock, say, kitting
        self._served: Served | None = None
        self._server: Server | None = None
        self._address = ""
        self._state: State | None = None
        self._standing: PageState | None = None
        self._standing_of: State | None = None
        self._pressed = (0, 0)
        self._shows_until_ns = 0
        self._has_failed = False
        self.said: tuple[str, ...] = ()
        if options.page is not None:
            try:
                self._open(options, marking)
            except ImportError as fault:
                self._unserved(options, PageError(f"{LACKING} ({fault.name} is missing)"))
            except PageError as fault:
                self._unserved(options, fault)

    def _unserved(self, options: RunPlan, fault: PageError) -> None:
        """A command ends with the sentence; a unit shows it and goes on without a page."""
        if not options.is_service:
            raise fault
        self.said = (str(fault),)
        self._say(str(fault))

    def _open(self, options: RunPlan, marking: Marking) -> None:
        # Only where it is switched on: a server and what it stands on take a while to load.
        from firmware.page.hub import Hub  # noqa: PLC0415
        from firmware.page.listening import address_of, opened  # noqa: PLC0415
        from firmware.page.pairing import Pairing  # noqa: PLC0415
        from firmware.page.phones import NAME, Phones  # noqa: PLC0415
        from firmware.page.served import Served  # noqa: PLC0415
        from firmware.page.server import Server  # noqa: PLC0415

        assert options.page is not None
        kitting = self._kitting
        folder = kept_in(os.environ) if options.is_service else marking.path.parent
        phones = Phones(folder / NAME, self._clock, self._say)
        pairing = Pairing(self._clock, options.page_code)
        listening = opened(options.page)
        self._address = address_of(listening)
        served = self._served = Served(
            Hub(self._clock, lambda: None if kitting is None else kitting.units()),
            pairing,
            phones,
            marking.path,
            marking.slate,
            marking.set_slate,
            own_names(),
            dict(os.environ),
            lambda slate: kitting is not None and kitting.mark_all(slate),
            INCOMING if options.page_updates and options.is_service else None,
        )
        self._server = Server(served, listening)
        self._server.start()
        self._say(f"the page is at {self._address}")
        if not phones.listed() and not options.page_code:
            pairing.open(for_ns=None)
            self._shows_until_ns = self._clock.now_ns() + SHOWN_NS
            self._say(f"pair a phone there with the code {pairing.shown}")

    @property
    def shows_index(self) -> bool:
        """Whether a phone shows the index of views."""
        return self._served is not None and self._served.hub.shows_index

    def board(self, board: Board) -> Board:
        """A board that phones watch and press too."""
        return board if self._served is None else PagedBoard(board, self)

    def turn(self, state: State) -> str:
        """Take note of a state; what is to be said of presses that concern the page, if any."""
        self._state = state
        pressed = (state.codes, state.partings)
        before, self._pressed = self._pressed, pressed
        if pressed in {before, (0, 0)}:  # another feed begins to count anew
            return ""
        if self._served is None:
            return OFF
        return self._forget_all() if pressed[1] != before[1] else self._show_code()

    def _show_code(self) -> str:
        assert self._served is not None
        pairing, phones = self._served.pairing, self._served.phones.listed()
        now_ns = self._clock.now_ns()
        if pairing.shown and now_ns < self._shows_until_ns:
            pairing.close()
        else:
            pairing.open()
            self._shows_until_ns = now_ns + SHOWN_NS
            self._say(f"pair a phone at {self._address} with the code {pairing.shown}")
        names = ", ".join(each.name for each in phones)
        return f"paired: {names}" if names else "no phone is paired"

    def _forget_all(self) -> str:
        assert self._served is not None
        count = self._served.phones.forget_all()
        return f"{count} {'phone' if count == 1 else 'phones'} forgotten"

    def alert(self, other: Callable[[], Alert | None]) -> Callable[[], Alert | None]:
        """What is to stand on the screen: where to pair, before anything that is less grave."""
        served = self._served
        if served is None:
            return other

        def told() -> Alert | None:
            machine, code = other(), served.pairing.shown
            is_over = self._clock.now_ns() >= self._shows_until_ns
            if not code or is_over or (machine is not None and machine.tone is Tone.ALARM):
                return machine
            return Alert(f"on a phone: {self._address} and the code {code}")

        return told

    def actions(self) -> list[Action]:
        """What phones asked for since the last call."""
        state = self._state
        if self._served is None or state is None:
            return []
        out: list[Action] = []
        for each in self._served.hub.take_asked():
            out += actions_of(each, state)
        return out

    def publish(self, shown: Shown) -> None:
        """Leave what was painted for whoever watches; what fails at it takes nothing along."""
        state, served = self._state, self._served
        if state is None or served is None or self._has_failed:
            return
        try:
            self._publish(shown, state, served)
        except Exception as fault:  # noqa: BLE001 - the screen goes on without the page
            self._has_failed = True
            self._say(
                f"the page has failed and shows nothing more: {type(fault).__name__}: {fault}"
            )

    def _publish(self, shown: Shown, state: State, served: "Served") -> None:
        if self._standing is None or self._standing_of is not state:
            self._standing, self._standing_of = standing_of(state), state
        served.hub.publish(seen_of(shown, self._standing))
        if served.hub.is_due() and (taken := taken_of(shown)) is not None:
            served.hub.leave(taken)

    def close(self) -> None:
        """Serve no more."""
        if self._server is not None:
            self._server.close()


class PagedBoard:
    """A board whose moments phones see too, and which they press.

    Parameters
    ----------
    board:
        The screen, with its buttons.
    """

    def __init__(self, board: Board, paging: Paging) -> None:
        self._board, self._paging = board, paging

    def actions(self) -> list[Action]:
        """What was pressed on either since the last call; never waits."""
        return [*self._board.actions(), *self._paging.actions()]

    def paint(self, shown: Shown) -> None:
        """Paint a moment, not yet seen."""
        self._board.paint(shown)
        self._paging.publish(shown)

    def flip(self) -> None:
        """Let it be seen."""
        self._board.flip()


def actions_of(doing: "Doing", state: State) -> list[FromPage]:
    """The actions that a phone's wish stands for, on a state as it is now."""
    # What a wish may be is known where the page is switched on.
    from firmware.page.asked import Marked, Pressed, Tapped, Viewed  # noqa: PLC0415

    if isinstance(doing, Pressed):
        return [FromPage(doing.press)]
    if isinstance(doing, Tapped):
        column = min(int(doing.across * state.columns), state.columns - 1)
        row = min(int(doing.down * state.rows), state.rows - 1)
        there = [FromPage(PlaceSpot(column, row))]
        return [*there, FromPage(Press.SET_PIN)] if doing.pins else there
    if isinstance(doing, Viewed):
        names = {view.name for view in state.registry.views()}
        return [FromPage(ShowView(doing.name))] if doing.name in names else []
    if isinstance(doing, Marked):
        return [FromPage(Press.MARK)]
    count = len(state.profiles)
    if doing.number >= count:
        return []
    # As the buttons do it: one profile after the other, the shorter way round.
    up = (doing.number - state.profile) % count
    down = count - up
    press = Press.NEXT_PROFILE if up <= down else Press.PREVIOUS_PROFILE
    return [FromPage(press)] * min(up, down if up else 0)


def own_names(root: Path = Path("/")) -> frozenset[str]:
    """Names by which this machine may be asked for; its addresses need not be named."""
    names = {"localhost"}
    with suppress(OSError):
        own = (root / "etc" / "hostname").read_text("ascii", "replace").strip().partition(".")[0]
        names |= {own, f"{own}.local"} if own else set()
    own = socket.gethostname().partition(".")[0]
    return frozenset({*names, own, f"{own}.local"} - {""})
