"""`midgrey run`: the appliance on a display, or live readings in the terminal without one."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TextIO

from firmware.clock import Clock
from firmware.display import UNSEEN, Display, find_display
from firmware.feeds.base import FeedState, Pace
from firmware.options import Drawing, RunOptions
from firmware.places import CENTRE
from firmware.session import open_session
from firmware.terminal import LiveReadings, face_for


def run(
    options: RunOptions,
    clock: Clock,
    environ: Mapping[str, str],
    out: TextIO,
    err: TextIO,
    root: Path = Path("/"),
) -> int:
    """Run until stopped, or for so many frames; the exit status.

    Raises
    ------
    FirmwareError, OverlayError, OSError
        Feed, profile or screen is not to be had.
    """
    display = find_display(environ, root)
    drawing = drawing_for(options, environ, display)
    if drawing is None:
        return _in_terminal(options, clock, display, out, err)
    from firmware.appliance import run_appliance  # noqa: PLC0415 - pygame only where it draws

    return run_appliance(replace(options, drawing=drawing))


def drawing_for(
    options: RunOptions, environ: Mapping[str, str], display: Display
) -> Drawing | None:
    """Where to draw; None where nobody would see it and nothing is to be kept of it."""
    if display.shows:
        return Drawing.WINDOW
    keeps = options.screenshot is not None or options.stats is not None
    asked_unseen = environ.get("SDL_VIDEODRIVER", "") in UNSEEN and options.frames is not None
    return Drawing.UNSEEN if keeps or asked_unseen else None


def _in_terminal(
    options: RunOptions, clock: Clock, display: Display, out: TextIO, err: TextIO
) -> int:
    print(
        f"midgrey: no display ({display.reason}): live readings in the terminal, Ctrl-C ends them",
        file=err,
        flush=True,
    )
    session = open_session(
        options.feed,
        options.profile,
        options.overrides,
        clock=clock,
        pace=Pace.LIVE,
    )
    feed, profile, info = session.feed, session.profile, session.info
    try:
        print(
            f"{info.name}: {info.description}; {profile.curve.name}, carriage "
            f"{profile.laid.value}, {profile.name}",
            file=out,
            flush=True,
        )
        for warning in info.warnings:
            print(f"midgrey: note: {warning}", file=err, flush=True)
        face = face_for(out)
        try:
            state = LiveReadings(feed, profile, CENTRE, clock, face).run(options.frames)
        finally:
            face.close()
    finally:
        feed.close()
    if state is FeedState.GONE:
        print(f"midgrey: {info.name}: {state.value}", file=err)
        return 2
    return 0
