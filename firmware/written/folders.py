"""Where one's own settings lie: ``midgrey`` in the folders of the XDG Base Directory Specification.

Version 0.8: ``$XDG_CONFIG_HOME``, by default ``~/.config``, then ``$XDG_CONFIG_DIRS``, by default
``/etc/xdg``. Those of an appliance lie in ``/etc/midgrey``.
"""

import os
from collections.abc import Mapping
from pathlib import Path

APPLIANCE = Path("/etc/midgrey")
"""Where an appliance's own settings lie."""

OURS = "midgrey"


def own_settings(environ: Mapping[str, str] = os.environ) -> tuple[Path, ...]:
    """Where one's own settings are looked for, the most particular first; they need not exist.

    What is not an absolute path in the environment is passed over, as the specification asks.
    """
    home = environ.get("HOME", "")
    first = environ.get("XDG_CONFIG_HOME", "")
    if not Path(first).is_absolute():
        first = str(Path(home) / ".config") if Path(home).is_absolute() else ""
    others = environ.get("XDG_CONFIG_DIRS", "") or "/etc/xdg"
    named = [Path(each) / OURS for each in [first, *others.split(":")] if each.startswith("/")]
    return tuple(dict.fromkeys([*named, APPLIANCE]))
