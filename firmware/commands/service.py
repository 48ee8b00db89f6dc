"""A unit that nobody sits at comes up whatever it was told, also on a line full of mistakes.

A command that ends with a sentence is right in a terminal. Of a unit it would be a dark screen that
is started again for ever, with the sentence in a log that nobody reads. This is loaded before the
splash is shown, so it loads nothing else of ours; what follows the options is `service_plan`.
"""

import os
from collections.abc import Callable, MutableMapping

import typer

SERVICE = "NOTIFY_SOCKET"
"""Variable of the environment by which systemd tells a service where to report."""
FEED = "MIDGREY_FEED"
"""Variable of the unit's settings that names its feed."""
REFUSED = "MIDGREY_REFUSED"
"""Variable by which a command line that could not be parsed is handed on within the process."""

# Typer brings its own click in new releases and uses the library in older ones; this is either's.
USAGE_ERROR: type[Exception] = typer.BadParameter.__bases__[0]


def run_as_service(
    app: Callable[..., object], environ: MutableMapping[str, str] = os.environ
) -> int:
    """Run the command line; where it cannot be parsed, run on the feed alone. The exit status."""
    try:
        return _status(app(standalone_mode=False))
    except USAGE_ERROR as fault:
        said = getattr(fault, "format_message", None)
        environ[REFUSED] = str(fault) if said is None else str(said())
    feed = environ.get(FEED, "")
    return _status(app(args=["run", *([feed] if feed else [])], standalone_mode=False))


def _status(given: object) -> int:
    return given if isinstance(given, int) else 0
