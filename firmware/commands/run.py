"""`midgrey run`: the appliance on a display, or live readings in the terminal without one."""

import os
import sys
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TextIO

# Before ours, whose imports nest deeply: from there it took 137 ms of the first frame with Python
# 3.11, from here 20 to 60; probably since a loop of its own then crosses the end of a piece of
# Python's stack, which is made and let go each time.
import numba  # noqa: F401

from firmware.clock import Clock, SystemClock
from firmware.commands.outermost import ending_when_told
from firmware.commands.service import SERVICE
from firmware.commands.service_plan import plan_in_service, say
from firmware.errors import ScreenError
from firmware.feeds.base import FeedState
from firmware.health.storage import kept_in
from firmware.instruments.registry import REGISTRY
from firmware.journal.slate import parse_slate
from firmware.kept.settings_file import FILE
from firmware.live.kit_presets import laid_over
from firmware.live.preload import load_kernels
from firmware.live.run_plan import RunPlan
from firmware.live.terminal import LiveReadings, face_for
from firmware.opening.looking import STAND_IN, Looker, looking, run_session
from firmware.opening.overrides import overrides_of
from firmware.opening.session import Session
from firmware.page.listening import parse_place
from firmware.presets.model import Preset
from firmware.presets.reader import read_preset
from firmware.presets.shelf import boot, folders_of
from firmware.screen.drawing import Drawing
from firmware.screen.find_display import UNSEEN, Display, Driver, find_display
from firmware.screen.rotation import rotation_asked
from firmware.system.compiling import said_on
from firmware.system.start_up import collection_held, resume_collection, without
from firmware.written.arguments import output_file, parse_size
from firmware.written.declared import Command
from firmware.written.options import RunOptions


def main(_command: Command, options: RunOptions) -> int:
    """Run on this machine."""
    with collection_held():
        if os.environ.get(SERVICE):
            plan = unit_plan(options, os.environ)
            say(plan, sys.stderr)
        else:
            plan = desk_plan(options, os.environ)
        return run(plan, SystemClock(), os.environ, sys.stdout, sys.stderr)


def unit_plan(options: RunOptions, environ: Mapping[str, str]) -> RunPlan:
    """What a unit does: its preset goes over the options it was installed with."""
    state = kept_in(environ) if environ.get("STATE_DIRECTORY") else None
    found = boot(folders_of(environ), state)
    if found.preset is None:
        plan = plan_in_service(options, environ, plan_of)
    else:
        over = found.preset.over(options)
        plan = _as_preset(plan_in_service(over, environ, plan_of), found.preset)
    return laid_over(replace(plan, wrong=(*found.said, *plan.wrong)))


def desk_plan(options: RunOptions, environ: Mapping[str, str]) -> RunPlan:
    """What is done at a desk: options go over a preset that is named beside them.

    Raises
    ------
    FirmwareError
        An option cannot be understood, or the preset has mistakes.
    """
    if options.preset is None:
        return plan_of(options, environ)
    preset = read_preset(options.preset)
    return laid_over(_as_preset(plan_of(preset.under(options), environ), preset))


def _as_preset(plan: RunPlan, preset: Preset) -> RunPlan:
    goal = (preset.target, preset.within_stops)
    made = replace(plan, goal=goal, lock=preset.lock, page_code=preset.page_code)
    return replace(made, kit=preset.kit, page_updates=preset.page_updates)


def plan_of(options: RunOptions, environ: Mapping[str, str]) -> RunPlan:
    """The options understood; raises `ArgumentError` where one cannot be."""
    shot, stats = options.screenshot, options.stats
    return RunPlan(
        view=REGISTRY.view(options.view),  # wrong is wrong, also where nothing is drawn
        feed=options.feed,
        profile=options.profile,
        overrides=overrides_of(options),
        size=None if options.size is None else parse_size(options.size),
        frames=options.frames,
        screenshot=None if shot is None else output_file(shot, ".png"),
        stats=None if stats is None else output_file(stats, ".json"),
        rotation=rotation_asked(options.rotate, environ),
        lines=options.headless,
        keep=kept_file(options.keep, environ),
        factory=options.factory,
        journal=options.journal,
        slate=_checked_slate(options.slate or ""),
        page=None if options.page is None else parse_place(options.page),
    )


def _checked_slate(written: str) -> str:
    """The slate as it was written; raises `ArgumentError` where it is none."""
    parse_slate(written)
    return written


def kept_file(asked: Path | None, environ: Mapping[str, str]) -> Path | None:
    """The file that keeps what is set: one that is named, and in a service its own; else none.

    Whoever starts midgrey at a desk starts it as it was asked for, not as somebody left it.

    Raises
    ------
    ArgumentError
        No such file can be written.
    """
    if asked is not None:
        return output_file(asked, ".json")
    if environ.get(SERVICE) and environ.get("STATE_DIRECTORY"):
        return kept_in(environ) / FILE
    return None


def run(  # noqa: PLR0913 - everything it touches is handed in
    options: RunPlan,
    clock: Clock,
    environ: Mapping[str, str],
    out: TextIO,
    err: TextIO,
    *,
    root: Path = Path("/"),
    appliance: Callable[[RunPlan], int] | None = None,
) -> int:
    """Run until stopped, or for so many frames; the exit status.

    `root` is the file system to look for a display in; `appliance` draws, and is the real one
    unless another is given.

    Raises
    ------
    FirmwareError, OverlayError, OSError
        Feed, profile or screen cannot be had.
    """
    draw = _draw if appliance is None else appliance
    if environ.get(SERVICE):
        return _as_service(options, dict(environ), root, err, draw)
    if options.lines:
        with ending_when_told():
            return draw(replace(options, drawing=Drawing.NOTHING))
    display = find_display(environ, root)
    drawing = drawing_for(options, environ, display)
    if drawing is None:
        return _in_terminal(options, clock, display.reason, out, err)
    try:
        return draw(replace(options, drawing=drawing, framebuffer=display.node))
    except ScreenError as fault:
        if drawing is Drawing.UNSEEN or _keeps(options):
            raise
        # A display was found, but the library at hand cannot open it; readings need none.
        return _in_terminal(options, clock, str(fault), out, err)


def _draw(options: RunPlan) -> int:
    # pygame would like it for resources in zip files, which ours are not: a tenth of the start.
    with without("pkg_resources"):
        from firmware.live.appliance import run_appliance  # noqa: PLC0415 - only where it draws

    return run_appliance(options)


def _as_service(
    options: RunPlan,
    environ: dict[str, str],
    root: Path,
    err: TextIO,
    draw: Callable[[RunPlan], int],
) -> int:
    """Nobody reads a service's terminal: without a screen it measures all the same.

    One that was just ended may hold the display for a moment longer, and a screen may be switched
    on after the board: it is taken when it comes, and nothing that runs is begun anew.
    """
    plan = replace(options, is_service=True, lines=False)
    display = find_display(environ, root)
    drawing = None if options.lines else drawing_for(options, environ, display)
    if drawing is not None:
        try:
            return draw(replace(plan, drawing=drawing, framebuffer=display.node))
        except ScreenError as fault:
            if drawing is Drawing.UNSEEN:
                raise
            why = str(fault)
    else:
        why = "nothing is drawn, as asked for" if options.lines else display.reason
    print(f"midgrey: without a screen ({why})", file=err, flush=True)
    return draw(replace(plan, drawing=Drawing.NOTHING, is_headless=options.lines))


def drawing_for(options: RunPlan, environ: Mapping[str, str], display: Display) -> Drawing | None:
    """Where to draw; None where nobody would see it and nothing is to be kept of it."""
    if display.driver is Driver.FRAMEBUFFER:
        return Drawing.FRAMEBUFFER
    if display.shows:
        return Drawing.WINDOW
    asked_unseen = environ.get("SDL_VIDEODRIVER", "") in UNSEEN and options.frames is not None
    return Drawing.UNSEEN if _keeps(options) or asked_unseen else None


def _keeps(options: RunPlan) -> bool:
    """Whether something of the screen is to be kept as a file."""
    return options.screenshot is not None or options.stats is not None


@ending_when_told()
def _in_terminal(options: RunPlan, clock: Clock, reason: str, out: TextIO, err: TextIO) -> int:
    print(
        f"midgrey: no display ({reason}): live readings in the terminal, Ctrl-C ends them",
        file=err,
        flush=True,
    )
    with said_on(err):
        session = run_session(options, clock)
        load_kernels()
    with looking(options, session, clock) as looker:
        status = _readings(options, session, clock, looker, out, err)
        found = looker.take()
        if found is None:
            return status
        print(f"midgrey: changed over to {found.feed.info.name}", file=err, flush=True)
        return _readings(options, found, clock, Looker(), out, err)


def _readings(
    options: RunPlan, session: Session, clock: Clock, looker: Looker, out: TextIO, err: TextIO
) -> int:
    """Live readings of one feed, which is closed at their end; the exit status."""
    feed, read_with = session.feed, session.read_with()
    info, profile = read_with.info, read_with.profile
    resume_collection()
    try:
        read_as = f"{profile.curve.name}, carriage {profile.laid.value}, {profile.name}"
        about = info.description if session.is_absent else f"{info.description}; {read_as}"
        print(f"{info.name}: {about}", file=out, flush=True)
        for warning in (*read_with.warnings, *((STAND_IN,) if session.is_stand_in else ())):
            print(f"midgrey: note: {warning}", file=err, flush=True)
        face = face_for(out)
        try:
            instrument = REGISTRY.in_view(options.view)
            readings = LiveReadings(session, instrument, clock, face)
            state = readings.run(options.frames, looker.is_over)
        finally:
            face.close()
    finally:
        feed.close()
    if state is FeedState.GONE:
        print(f"midgrey: {info.name}: {state.value}", file=err)
        return 2
    return 0
