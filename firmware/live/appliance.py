"""The appliance on a screen: feed, loop, state and screen put together, and taken apart again."""

import json
import os
import sys
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from threading import Event

from firmware.clock import Clock, SystemClock, process_age_s
from firmware.controls.held_at_start import held_at_start
from firmware.controls.panel import Board, opened_panel
from firmware.errors import FirmwareError, ProfileError
from firmware.health.alerts import watched
from firmware.journal.journal_folder import journal_file
from firmware.live.eyes import opened_screen
from firmware.live.freshness import Freshness
from firmware.live.hooks import Hooks
from firmware.live.kinds import make_known
from firmware.live.kitting import Kitting
from firmware.live.loop import Loop
from firmware.live.marking import Marking
from firmware.live.oversight import Oversight, overseen
from firmware.live.paging import Paging
from firmware.live.preload import load_kernels
from firmware.live.proving import Proving, told_of_versions
from firmware.live.remembering import Remembering
from firmware.live.run_plan import RunPlan
from firmware.live.screen_saved import save_screen
from firmware.live.start_screen import StartScreen
from firmware.live.starting import starting_state
from firmware.opening.looking import STAND_IN, Looker, looking, run_session
from firmware.opening.session import Session
from firmware.profiles.keep_clip import keep_clip
from firmware.profiles.model import Profile
from firmware.profiles.shelf import own_profiles
from firmware.screen.backlight import panel_light
from firmware.screen.blind import AnyScreen
from firmware.screen.drawing import Drawing
from firmware.system.compiling import Compiling, listen
from firmware.system.crew_threads import ThreadCrew, usable_cores
from firmware.system.files import save, unsaved
from firmware.system.kernel_cache import bring_to_card, kernel_folders
from firmware.system.memory import give_back
from firmware.system.start_up import Loading, resume_collection, worked
from firmware.system.systemd import Notifier
from firmware.system.threads import FINISH_S
from firmware.system.warmth import Warming
from overlays.draw.moment.shown import Face
from overlays.measure.counting.clip import FlatTop

NOT_ENOUGH = 2
"""Exit status where fewer frames came than were asked for."""


def run_appliance(options: RunPlan, clock: Clock | None = None) -> int:
    """Run on a screen until quit, or for so many frames; the exit status.

    Raises
    ------
    FirmwareError, OverlayError
        Feed, profile or screen cannot be opened; one sentence says why.
    """
    now = SystemClock() if clock is None else clock
    notifier = Notifier(os.environ, now)
    make_known()  # before there is a second thread
    # The screen is waited for, not worked for: the time is used to bring the kernels in.
    compiling, warming = Compiling(), Warming(os.environ)
    leaving, remembering = Event(), None
    kernels = Loading(lambda: _load_and_keep(compiling, leaving))
    crew = ThreadCrew(usable_cores())
    screen = opened_screen(options, now, crew)
    marking = Marking(options.journal or journal_file(os.environ), options.slate, now)
    paging = kitting = None
    try:
        start = StartScreen(screen, options.view, options.feed)
        start.say("")
        if screen.missing:
            _say(screen.missing)
        remembering = Remembering(options, now, lambda: _is_factory(options, now, start.say))
        kitting = Kitting(options, now, marking, _say, remembering.ask_anew)
        paging = Paging(options, now, marking, _say, kitting)
        session = worked(
            lambda: run_session(options, now),
            lambda: start.say(compiling.words),
        )
        beside = remembering, marking, paging, kitting
        proving = Proving(os.environ, now, notifier.is_fed_since, screen.is_lit)
        tools = _Tools(now, notifier, compiling, warming, *beside, crew, proving)
        return _on_feeds(options, session, screen, tools)
    finally:
        leaving.set()
        _close_each(
            notifier.stopping,  # from here on nothing feeds the watchdog
            *(() if paging is None else (paging.close,)),
            _saying(marking.close),
            *(() if kitting is None else (kitting.close,)),
            *(() if remembering is None else (_saying(remembering.close),)),
            warming.close,
            notifier.close,
            screen.close,
            crew.close,
            lambda: kernels.is_over(FINISH_S),  # a loop that is being compiled is made anew
        )


def _close_each(*closings: Callable[[], object]) -> None:
    """In this order, and each of them: a picture for phones that hangs costs nobody a mark."""
    with ExitStack() as left:
        for close in reversed(closings):
            left.callback(close)


def _saying(close: Callable[[], str]) -> Callable[[], None]:
    """Close, and say what was lost."""

    def closing() -> None:
        if lost := close():
            _say(lost)

    return closing


def _is_factory(options: RunPlan, clock: Clock, say: Callable[[str], None]) -> bool:
    """Whether what was set is to be left: an option says so, or a button that is held."""
    return options.factory or (options.is_service and held_at_start(clock, say))


def _load_and_keep(compiling: Compiling, leaving: Event) -> None:
    listen(compiling)
    load_kernels(leaving.is_set)
    # What had to be compiled outlives a power cut from here on.
    bring_to_card(kernel_folders(os.environ))


@dataclass(frozen=True, slots=True)
class _Tools:
    clock: Clock
    notifier: Notifier
    compiling: Compiling
    warming: Warming
    remembering: Remembering
    marking: Marking
    paging: Paging
    kitting: Kitting
    crew: ThreadCrew
    proving: Proving

    @property
    def said(self) -> tuple[str, ...]:
        """What is to be said on the screen of page and kit."""
        return (*self.paging.said, *self.kitting.said)

    def is_warm(self) -> bool:
        """Whether nothing will have to be compiled, as far as is known."""
        unasked = not self.notifier.is_heard and self.compiling.count == 0
        return unasked or self.warming.is_warm

    def boards(self, board: Board) -> Board:
        """A board that phones and the kit see too."""
        return self.kitting.board(self.paging.board(board))

    def settle(self) -> None:
        """The picture is there: let go of what only the start needed, make what is missing."""
        give_back()
        self.marking.prepare()
        if self.notifier.is_heard:
            self.warming.begin()


def _on_feeds(options: RunPlan, session: Session, screen: AnyScreen, tools: _Tools) -> int:
    """Run on a feed; where the bench stands in for one, on the one that comes from then on."""
    with looking(options, session, tools.clock) as looker:
        try:
            status = _on_feed(options, session, screen, tools, looker)
        finally:
            if not looker.has_told:
                looker.give_up()  # a feed that comes at that moment keeps nobody from ending
                tools.notifier.stopping()
            session.feed.close()
        found = looker.take()
        if found is None:
            return status
        try:
            return _on_feed(options, found, screen, tools, Looker(), changed_over=True)
        finally:
            found.feed.close()


def _on_feed(
    options: RunPlan,
    session: Session,
    screen: AnyScreen,
    tools: _Tools,
    looker: Looker,
    *,
    changed_over: bool = False,
) -> int:
    """Run on one feed, the first or the one that was changed over to; the exit status."""
    clock, notifier, remembering = tools.clock, tools.notifier, tools.remembering

    def each_turn(seen: Freshness) -> None:
        oversight.seen = seen
        if news := tools.proving.turn(seen, loop.stats.frames_shown):
            loop.say(news)
        tools.crew.ask(loop.state.in_use.workers)
        tools.marking.turn(loop, session.feed.info.name)
        if told := tools.kitting.turn(loop, session.feed.info):
            loop.say(told)
        if asked := tools.paging.turn(loop.state):
            loop.say(asked)
        if said := remembering.note(loop.state):
            loop.say(said)
            _say(said)
        if seen.face in {Face.LOST, Face.STALLED}:
            notifier.ready()  # a screen that says why there is no picture is ready too
            resume_collection()  # and may say so for days

    def first_frame() -> None:
        loop.stats.first_frame_s = process_age_s()
        tools.proving.first()
        notifier.ready()
        resume_collection()

    hooks = Hooks(
        first_frame,
        tools.settle,
        each_turn,
        lambda seen: save_screen(screen, clock, seen),
        tools.marking.mark,
        light=panel_light,
        shows_index=lambda: tools.paging.shows_index,
        preparing=lambda: tools.compiling.words,
        is_warm=tools.is_warm,
        made=lambda: tools.compiling.moved,
        is_making=lambda: tools.compiling.is_making,
        is_over=looker.is_over,
        keep_clip=kept_clip,
        crew=tools.crew,
    )
    oversight = Oversight(hooks.stages, notifier, tools.compiling, clock, _say)
    found, plan = own_profiles(), tools.kitting.planned(options)
    state = remembering.begin(starting_state(session, plan.view, own=found.profiles, plan=plan))
    stand_in = (STAND_IN,) if session.is_stand_in else ()
    said = (*told_of_versions(), *found.faults, *stand_in, *remembering.said, *tools.said)
    start_ns = clock.now_ns()
    panel = opened_panel(screen, clock, stages=hooks.stages, warn=bool(options.wrong))
    with panel as (board, troubles):
        warnings, seen_by = (*options.wrong, *troubles, *said), tools.boards(board)
        loop = Loop(session.feed, state, seen_by, clock, warnings, hooks)
        if changed_over:
            loop.say(f"changed over to {session.feed.info.name}")
        watching = watched(loop.stats, session.feed, clock, os.environ, tools.kitting.look)
        with watching as alert, overseen(oversight):
            hooks.alert = tools.paging.alert(tools.marking.alert(tools.kitting.alert(alert)))
            loop.run(options.frames)
    _keep(options, screen, loop, (clock.now_ns() - start_ns) / 1e9)
    short = options.frames is not None and loop.stats.frames_shown < options.frames
    return NOT_ENOUGH if short and options.drawing is Drawing.UNSEEN else 0


def _keep(options: RunPlan, screen: AnyScreen, loop: Loop, seconds: float) -> None:
    """Write what the options ask for of a run of so many seconds."""
    try:
        if options.screenshot is not None:
            screen.save(options.screenshot)
    finally:
        if options.stats is not None:
            times = os.times()
            _write(options.stats, loop.stats.as_object(seconds, times.user + times.system))


def _say(sentence: str) -> None:
    """A line for the log."""
    sys.stderr.write(f"midgrey: {sentence}\n")
    sys.stderr.flush()


def kept_clip(profile: Profile, top: FlatTop | None) -> str:
    """Write the clip that was found in the profile, or why that cannot be, as a note."""
    try:
        return keep_clip(profile, top)
    except ProfileError as fault:
        return str(fault)


def _write(path: Path, found: dict[str, object]) -> None:
    try:
        save(path, (json.dumps(found, indent=2) + "\n").encode())
    except OSError as fault:
        raise FirmwareError(unsaved(path, "counts", fault)) from fault
