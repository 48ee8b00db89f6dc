"""What the page stands on: everything that its answers are made of, handed in."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from firmware.journal.slate import Slate
from firmware.page.hub import Hub
from firmware.page.pairing import Pairing
from firmware.page.phones import Phones


@dataclass(frozen=True, slots=True)
class Served:
    """One unit's page.

    Attributes
    ----------
    hub, pairing, phones:
        What goes between; who may.
    journal:
        The file of marks.
    slate:
        What marks carry now; raises `ArgumentError` where that cannot be understood.
    set_slate:
        Lets them carry another from now on; answers with what is to be said of it, if anything.
    names:
        Names of this machine, by which it may be asked for.
    environ:
        Where one's own profiles lie stands there.
    mark_all:
        Lets every unit of the kit mark; False where it is out of reach.
    incoming:
        Where versions that phones bring are laid; None where none are taken.
    """

    hub: Hub
    pairing: Pairing
    phones: Phones
    journal: Path
    slate: Callable[[], Slate] = Slate
    set_slate: Callable[[Slate], str] = lambda _slate: ""
    names: frozenset[str] = frozenset({"localhost"})
    environ: Mapping[str, str] = field(default_factory=dict)
    mark_all: Callable[[Slate], bool] = lambda _slate: False
    incoming: Path | None = None
