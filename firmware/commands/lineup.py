"""`midgrey lineup`: bars and steps near black on the panel itself, and a guide to set it by."""

import os
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from firmware.actions import Action, Contact, Edge, Press
from firmware.clock import Clock, SystemClock
from firmware.commands.outermost import ending_when_told
from firmware.errors import ArgumentError
from firmware.screen.backlight import FOLDER, UNKNOWN, Backlight, find_backlight
from firmware.screen.drawing import Drawing
from firmware.screen.find_display import Driver, find_display
from firmware.screen.rotation import rotation_asked
from firmware.written.arguments import output_file, parse_size
from firmware.written.declared import Command
from firmware.written.options import LineupOptions
from overlays.draw.moment.lineup import Lineup

if TYPE_CHECKING:
    # pygame comes in with it, which the help of a command need not wait for.
    from firmware.screen.screen import Screen

TURN_S = 0.05
"""From one look for presses to the next."""

KEYS = "B, shift + B: the panel's light. Left: back. Q: the end. Any other press goes on."
"""No rail stands here: said of keys, and of the four buttons by their place."""
BUTTONS = (Press.LIGHT_DOWN, Press.LIGHT_UP, Press.SPOT_RIGHT, Press.QUIT)
"""What the four buttons do, as on a unit's rail while its panel is set."""
ENDS = frozenset({Press.QUIT})
BRIGHTER = frozenset({Press.LIGHT_UP, Press.STRIPE_UP})
DARKER = frozenset({Press.LIGHT_DOWN, Press.STRIPE_DOWN})
BACK = frozenset({Press.PREVIOUS_VIEW, Press.SPOT_LEFT})


def main(_command: Command, options: LineupOptions) -> int:
    """Line up the panel of this machine."""
    with ending_when_told():
        return lineup(options, os.environ, SystemClock())


def lineup(
    options: LineupOptions,
    environ: Mapping[str, str],
    clock: Clock,
    root: Path = Path("/"),
    lights: Path = FOLDER,
) -> int:
    """Show the picture until somebody quits; the exit status.

    Raises
    ------
    ArgumentError
        There is no display, or an option cannot be understood.
    """
    from firmware.controls.panel import opened_panel  # noqa: PLC0415 - only where it draws
    from firmware.screen.screen import Screen  # noqa: PLC0415 - the same

    shot = None if options.screenshot is None else output_file(options.screenshot, ".png")
    size = None if options.size is None else parse_size(options.size)
    rotation = rotation_asked(options.rotate, environ)
    display = find_display(environ, root)
    if shot is not None:
        drawing = Drawing.UNSEEN
    elif display.driver is Driver.FRAMEBUFFER:
        drawing = Drawing.FRAMEBUFFER
    elif display.shows:
        drawing = Drawing.WINDOW
    else:
        raise ArgumentError(
            f"there is no display to line up ({display.reason}); plug it in, or keep the picture "
            "with --screenshot FILE.png"
        )
    screen = Screen(drawing, size, rotation=rotation, framebuffer=display.node)
    try:
        light = find_backlight(lights)
        if shot is not None:
            show(screen, 0, light_words(light))
            screen.save(shot)
            return 0
        with opened_panel(screen, clock) as (board, troubles):
            for trouble in troubles:
                sys.stderr.write(f"midgrey: {trouble}\n")
            step, note = 0, light_words(light)
            while step >= 0:
                show(screen, step, note)
                while not (actions := board.actions()):
                    clock.sleep(TURN_S)
                step, said = after_presses(actions, step, light)
                note = light_words(light) if said is None else said
    finally:
        screen.close()
    return 0


def light_words(light: Backlight | None) -> str:
    """How the panel's own light stands."""
    return UNKNOWN if light is None else light.words


def show(screen: "Screen", step: int, note: str) -> None:
    """Let a step of the guide be seen."""
    from overlays.draw.columns.lineup_picture import lineup_pieces  # noqa: PLC0415 - loads pygame

    lineup = Lineup(step, note, KEYS)
    screen.lay(lambda area, letters, theme: lineup_pieces(lineup, area, letters, theme))
    screen.flip()


def after_presses(
    actions: list[Action], step: int, light: Backlight | None
) -> tuple[int, str | None]:
    """The step of the guide after presses (below 0 at the end), and what to say of the light."""
    note: str | None = None
    for done in actions:
        action: Action = done
        if isinstance(done, Edge):
            if done.contact is not Contact.CLOSED:
                continue
            action = BUTTONS[done.button]
        if action in ENDS:
            return -1, None
        if action in BRIGHTER | DARKER:
            by = 1 if action in BRIGHTER else -1
            note = UNKNOWN if light is None else light.moved(by)
        elif action in BACK:
            step = max(step - 1, 0)
        elif isinstance(action, Press):
            step += 1
    return step, note
