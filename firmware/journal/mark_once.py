"""A mark of the one frame that a command read."""

from pathlib import Path

from firmware.clock import Clock
from firmware.health.board import look_at_board
from firmware.instruments.registry import Line
from firmware.instruments.scene import Scene
from firmware.journal.card_journal import Card
from firmware.journal.composing import mark_of
from firmware.journal.in_view import InView
from firmware.journal.profile_texts import profile_text
from firmware.journal.row import JournalRow
from firmware.journal.slate import read_slate
from firmware.journal.stamping import stamp_now
from firmware.system.time_of_day import boot_name


def copied(scene: Scene) -> Scene:
    """The scene with a frame that outlives its feed."""
    return scene.kept()


def mark_scene(
    path: Path, scene: Scene, answer: object, line: Line, clock: Clock
) -> tuple[JournalRow, str]:
    """Save what a command read and answered; the row as it was kept, and what is to be said of it.

    Parameters
    ----------
    path:
        Of the journal, beside which the slate lies.
    scene:
        What was read, with a frame of its own.
    answer, line:
        What the command's instrument made of it.

    Raises
    ------
    FirmwareError
        The slate cannot be understood, or the journal not be written.
    """
    taken = InView(
        scene.frame,
        scene.yard,
        scene.place,
        scene.range,
        None,
        None,
        answer,
        scene.desk,
        scene.read_with,
        profile_text(scene.profile),
        read_slate(path.parent),
        stamp_now(clock, boot_name()),
        line,
    )
    card = Card(path)
    try:
        kept = card.append(mark_of(taken, look_at_board))
    finally:
        card.close()
    return kept, "; ".join(card.told)
