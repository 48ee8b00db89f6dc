"""Where versions lie on a unit, and what one of them holds. Whoever makes a unit makes it so.

::

    /opt/midgrey/
        releases/VERSION/       one whole version; complete, or not there at all
            release.toml        what it is and for which machine (`manifest`)
            bin/midgrey         starts it, always from this very folder (systemd/launcher)
            bin/python          the same for its Python
            venv/               pyvenv.cfg, lib/pythonX.Y/site-packages/; bin/python and
                                bin/python3, links to /usr/bin/python3, the only links there
                                are, made on the unit
            share/              README.md, hardware/, firmware/handbook/
        current -> releases/VERSION     what the unit starts
        previous -> releases/VERSION    what has proved itself before it, if there is one
        trial                   "VERSION STARTS": it has not proved itself yet in so many starts
        given-up                what did not, one line each: version, mark of its bundle, reason
        layout                  the number `LAYOUT`
        guard/                  what looks before every start; no part of any version
        bin/                    keep-last-words; no part of any version

``VERSION`` is what `version.NAME` matches, as ``0.9.0-1a2b3c4d``. Everything belongs to root and is
written by nobody else. Kernels of a version lie in ``/var/cache/midgrey/kernels/VERSION/``, which
the unit's own user writes: what starts a version adds its name to $NUMBA_CACHE_DIR. Only `current`
is ever named by units and people: ``/opt/midgrey/current/bin/midgrey`` is the command.
"""

from dataclasses import dataclass
from pathlib import Path

HOME = Path("/opt/midgrey")
LAYOUT = 1
"""Of all that is no part of a version: units, guard, this very order. A bundle names the one it
needs, and is refused by a unit that has a lower one."""

RELEASE_FILE = "release.toml"
COMMAND, PYTHON_COMMAND = Path("bin/midgrey"), Path("bin/python")
VENV = Path("venv")
PYTHON = VENV / "bin/python"
PYTHON_LINKS = (PYTHON, VENV / "bin/python3")
SYSTEM_PYTHON = Path("/usr/bin/python3")
"""What the links of a version lead to."""

RELEASE_VARIABLE = "MIDGREY_RELEASE"
"""Set by `COMMAND` for the process it becomes: the folder of its version."""

KERNELS = Path("/var/cache/midgrey/kernels")
"""Each version's in a folder of its name."""

SIGNERS = Path("/etc/midgrey/allowed_signers")
REVOKED = Path("/etc/midgrey/revoked_signers")
"""Public keys that are trusted no more, one a line, or a key revocation list (ssh-keygen(1))."""

RUN_FOLDER = Path("/run/midgrey")
"""Of systemd/midgrey.service, RuntimeDirectory: in memory, and emptied at every stop."""
PROVED, WAITING = "proved", "waits-for-feed"
"""Files in it in which the running process says its version: it has measured and shown a picture;
it could not yet, since none comes in."""

ENDING = ".update"
"""Of a bundle's file."""
CARD_FOLDERS = (Path("/boot/firmware/midgrey"), Path("/boot/midgrey"))
"""On the boot partition, which every laptop can write."""
INCOMING = Path("/var/lib/midgrey/incoming")
"""Where the page leaves a bundle that a phone has brought."""
SAID = Path("/run/midgrey-update/said")
"""What the last update by itself came to: one sentence."""


@dataclass(frozen=True, slots=True)
class Places:
    """The places of one unit.

    Attributes
    ----------
    home:
        The folder of all of them.
    """

    home: Path = HOME

    @property
    def releases(self) -> Path:
        """The folder of versions."""
        return self.home / "releases"

    @property
    def current(self) -> Path:
        """The link to what the unit starts."""
        return self.home / "current"

    @property
    def previous(self) -> Path:
        """The link to what has proved itself before."""
        return self.home / "previous"

    @property
    def trial(self) -> Path:
        """The file of a version that has not proved itself yet."""
        return self.home / "trial"

    @property
    def given_up(self) -> Path:
        """The file of those that did not."""
        return self.home / "given-up"

    @property
    def layout(self) -> Path:
        """The file of the number of the layout."""
        return self.home / "layout"

    def release(self, version: str) -> Path:
        """The folder of a version."""
        return self.releases / version
