"""What a press keeps of the screen: its picture, and what the instrument in view has to give."""

import os
from pathlib import Path

from firmware.clock import Clock
from firmware.health.storage import kept_in
from firmware.instruments.registry import REGISTRY
from firmware.screen.blind import AnyScreen
from firmware.system.files import reason_of, save
from overlays.draw.moment.shown import Measured


def save_screen(screen: AnyScreen, clock: Clock, seen: Measured | None) -> str:
    """Save the screen under the next free number of seconds, with what remains of a match.

    Returns what to say of it.
    """
    folder, number = kept_in(os.environ), int(clock.wall_s())
    while (path := folder / f"midgrey-{number}.png").exists():
        number += 1
    try:
        save(path, screen.png())
    except OSError as fault:
        return f"picture not saved: {reason_of(fault)}"
    return f"saved {path.name}{_saved_beside(path, seen)} in {folder}"


def _saved_beside(picture: Path, seen: Measured | None) -> str:
    """Save what the instrument in view has to keep besides the picture; says what."""
    if seen is None or seen.view is None or seen.answer is None:
        return ""
    said = ""
    for file in REGISTRY.in_view(seen.view).files(seen.answer, picture.stem):
        path = picture.with_suffix(file.ending)
        try:
            save(path, file.content)
        except OSError as fault:
            return f"{said} (no {file.ending}: {reason_of(fault)})"
        said += f" and {file.ending}"
    return said
