"""The steps of a first boot, in their order, and which of them are still to be done.

Each leaves a mark on the card when all it did is there, and each does no harm when it is done
again: power may go at any moment, and the next start goes on with the step that was cut off.
"""

from collections.abc import Iterable
from enum import Enum
from pathlib import Path

from firmware.system.files import save, settle


class BootStep(Enum):
    """One step; the value is the name of its mark and of its picture."""

    PACKAGES = "packages"
    """Debian packages that lie on the card as files are installed."""
    CODE = "code"
    """midgrey's own code is made ready to be loaded quickly."""
    DATA = "data"
    """The data partition becomes as large as the card lets it."""
    OPTIONS = "options"
    """What applies from the next start on, as a root that is only read, is written."""


DONE = "done"
"""The mark of the whole; midgrey-first-boot.service looks for it."""


def remaining(marks: Iterable[str]) -> tuple[BootStep, ...]:
    """The steps that are not marked as done, in their order.

    Examples
    --------
    >>> [step.value for step in remaining({"packages", "data"})]
    ['code', 'options']
    """
    there = set(marks)
    return tuple(step for step in BootStep if step.value not in there)


def marks_in(folder: Path) -> set[str]:
    """The marks that there are."""
    try:
        return {path.name for path in folder.iterdir()}
    except OSError:
        return set()


def mark(folder: Path, name: str) -> None:
    """Leave a mark; it is on the card when this returns.

    Raises
    ------
    OSError
        It cannot be written.
    """
    folder.mkdir(parents=True, exist_ok=True)
    settle(folder.parent)
    save(folder / name, b"")
