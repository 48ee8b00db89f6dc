"""What a run draws on: a screen, or what stands in its place until there is one."""

import os
import sys

from firmware.clock import Clock
from firmware.live.run_plan import RunPlan
from firmware.screen.blind import AnyScreen, Blind
from firmware.screen.connected import connected_panel
from firmware.screen.drawing import Drawing
from firmware.screen.find_display import Driver, find_display
from firmware.screen.screen import Screen
from firmware.system.sigterm import EndAsked
from overlays.draw.layout.panel_size import PanelSize
from overlays.sharing.crew import ALONE, Crew


def opened_screen(options: RunPlan, clock: Clock, crew: Crew = ALONE) -> AnyScreen:
    """The screen of a run.

    Raises
    ------
    ScreenError
        It cannot be opened.
    """
    if options.drawing is not Drawing.NOTHING:
        return Screen(
            options.drawing,
            options.size,
            rotation=options.rotation,
            framebuffer=options.framebuffer,
            crew=crew,
            panel=_panel(options, options.drawing),
        )
    if options.lines:
        # No screen has need of what objects of JSON are made of.
        from firmware.live.json_lines import JsonLines  # noqa: PLC0415

        return Blind(clock, tell=JsonLines(sys.stdout, clock).tell)
    told = EndAsked()
    later = (lambda: None) if options.is_headless else (lambda: _later(options, crew))
    return Blind(clock, later, is_told_to_end=told.to_end, say=_say, at_end=told.close)


def _later(options: RunPlan, crew: Crew) -> AnyScreen | None:
    """A screen that has come since; None where none has."""
    display = find_display(os.environ)
    if not display.shows:
        return None
    panel = display.driver is Driver.FRAMEBUFFER
    drawing = Drawing.FRAMEBUFFER if panel else Drawing.WINDOW
    node, rotation = display.node, options.rotation
    return Screen(
        drawing,
        options.size,
        rotation=rotation,
        framebuffer=node,
        crew=crew,
        panel=_panel(options, drawing),
    )


def _panel(options: RunPlan, drawing: Drawing) -> PanelSize | None:
    """How large the screen says it is; of a part of it, or of a panel on SPI, it says nothing."""
    is_whole = drawing is Drawing.WINDOW and options.size is None
    return connected_panel() if is_whole else None


def _say(sentence: str) -> None:
    sys.stderr.write(f"midgrey: {sentence}\n")
    sys.stderr.flush()
