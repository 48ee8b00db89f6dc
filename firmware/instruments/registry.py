"""All instruments there are, one line each. What shows or prints answers asks here, and only here.

A line names a folder. Its package is light and says what the command line needs (`COMMAND`, where
it has one); its module `instrument` measures and is imported when it is first asked for. So is its
module `object`, which makes the object of ``--json`` and of which no screen has need.
"""

from collections.abc import Callable, Iterator
from functools import cached_property
from importlib import import_module
from importlib.util import find_spec
from typing import TYPE_CHECKING, Any

from firmware.errors import ArgumentError
from firmware.written.declared import Command
from firmware.written.spelling import offer

if TYPE_CHECKING:
    from firmware.instruments.contract import Instrument
    from overlays.draw.layout.views import View

USUAL_VIEW = "expose"


class Line:
    """One instrument.

    Parameters
    ----------
    folder:
        Its package.
    is_shown:
        Whether it has a view; what is a command alone no screen has to load.
    """

    def __init__(self, folder: str, *, is_shown: bool = True) -> None:
        self._folder = folder
        self.is_shown = is_shown

    @cached_property
    def command(self) -> Command | None:
        """Its command; None where it has a view alone."""
        found: Command | None = getattr(import_module(self._folder), "COMMAND", None)
        return found

    @cached_property
    def instrument(self) -> "Instrument[Any, Any, Any]":
        """Itself."""
        made: Instrument[Any, Any, Any] = import_module(f"{self._folder}.instrument").INSTRUMENT
        return made

    @cached_property
    def object_of(self) -> Callable[[Any], object]:
        """What makes a dataclass of its answer, of which the cleaner makes the object."""
        made: Callable[[Any], object] = import_module(f"{self._folder}.object").object_of
        return made

    @cached_property
    def event_object_of(self) -> Callable[[Any], object]:
        """The same of one of its events."""
        made: Callable[[Any], object] = import_module(f"{self._folder}.object").event_object_of
        return made

    @cached_property
    def recomputed(self) -> Any:  # noqa: ANN401 - a module
        """Its module `recomputed`, for marks of before 0.11; None where it has none."""
        name = f"{self._folder}.recomputed"
        return import_module(name) if find_spec(name) is not None else None

    @cached_property
    def from_codes(self) -> Any:  # noqa: ANN401 - a module
        """Its module `from_codes`, which makes answers of what a mark keeps; None without."""
        name = f"{self._folder}.from_codes"
        return import_module(name) if find_spec(name) is not None else None


class Registry:
    """The lines in the order of the work they are used for."""

    def __init__(self, lines: list[Line]) -> None:
        self.lines = lines

    def __iter__(self) -> "Iterator[Instrument[Any, Any, Any]]":
        """Every instrument that has a view."""
        return (line.instrument for line in self.lines if line.is_shown)

    def commands(self) -> Iterator[Command]:
        """Every command; nothing is imported that measures."""
        return (line.command for line in self.lines if line.command is not None)

    def views(self) -> "list[View]":
        """Every view, in the order they are turned through."""
        return [view for instrument in self for view in instrument.views]

    def view(self, name: str | None) -> "View":
        """The view of a name; the usual one where none is given.

        Raises
        ------
        ArgumentError
            There is none of that name.
        """
        views = {view.name: view for view in self.views()}
        gone_up = {once: view for view in views.values() for once in view.once}
        wanted = USUAL_VIEW if name is None else name.casefold()
        if wanted not in views:
            if wanted in gone_up:
                return gone_up[wanted]
            raise ArgumentError(f"unknown view {name!r}; {offer(wanted, views)}")
        return views[wanted]

    def in_view(self, view: "View") -> "Instrument[Any, Any, Any]":
        """The instrument of a view."""
        return self.line_in_view(view).instrument

    def line_in_view(self, view: "View") -> Line:
        """The line of the instrument of a view."""
        return next(line for line in self.lines if line.is_shown and view in line.instrument.views)

    def line_of(self, instrument: "Instrument[Any, Any, Any]") -> Line:
        """The line of an instrument."""
        return next(line for line in self.lines if line.instrument is instrument)

    def of_name(self, name: object) -> Line:
        """The line of the instrument of a name.

        Raises
        ------
        ArgumentError
            There is none.
        """
        found = next((each for each in self.lines if each.instrument.name == name), None)
        if found is None:
            raise ArgumentError(f"there is no instrument {name}")
        return found

    def of_command(self, name: str) -> Line:
        """The line of the instrument whose command has a name."""
        return next(each for each in self.lines if each.command and each.command.name == name)


REGISTRY = Registry(
    [
        Line("firmware.instruments.spot"),
        Line("firmware.instruments.balance"),
        Line("firmware.instruments.advice"),
        Line("firmware.instruments.chips"),
        Line("firmware.instruments.pins"),
        Line("firmware.instruments.match"),
        Line("firmware.instruments.watch"),
        Line("firmware.instruments.target"),
        Line("firmware.instruments.chart"),
        Line("firmware.instruments.feedcheck"),
        Line("firmware.instruments.characterise", is_shown=False),
    ]
)
