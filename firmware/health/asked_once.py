"""The health of the machine for whoever asks once, beside a running appliance or without one."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from firmware.health import record
from firmware.health.board import look_at_board
from firmware.health.condition import Condition, Severity, Subject
from firmware.health.judging import Looks, judged
from firmware.health.kernel_files import inside
from firmware.health.storage import APPLIANCE_FOLDER, PlaceLook, kept_in, look_at_place

OF_THE_LOOP = frozenset({Subject.FRAMES, Subject.AGE})
"""Known to the running appliance alone."""


def conditions(
    environ: Mapping[str, str], now_ns: int, root: Path = Path("/")
) -> tuple[Condition, ...]:
    """The condition of everything, with what the running appliance has seen of it."""
    made = judged(Looks(look_at_board(root), _places(environ, root)), {})
    told = {each.key: each for each in record.read(now_ns, root)}
    return tuple(_known_better(each, told.get(each.key)) for each in made)


def _known_better(own: Condition, told: Condition | None) -> Condition:
    """The appliance has counted frames, and the dips of the supply since it was started."""
    if told is None:
        return own
    if own.subject in OF_THE_LOOP:
        return told
    if own.subject is Subject.POWER and told.severity >= Severity.NOTE:
        return max(told, own, key=lambda each: each.severity)
    return own


def _places(environ: Mapping[str, str], root: Path) -> list[PlaceLook]:
    """The appliance's folder where there is one, else the one that pictures would go to now."""
    if inside(root, APPLIANCE_FOLDER).exists():
        # It belongs to the service's user; that another one may not write there is as it should be.
        return [replace(look_at_place(APPLIANCE_FOLDER, root), may_write=True)]
    return [look_at_place(kept_in(environ), root)]
