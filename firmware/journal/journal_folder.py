"""Where the journal lies: in the service's own folder, else among one's own data."""

from collections.abc import Mapping
from pathlib import Path

from firmware.health.storage import APPLIANCE_FOLDER
from firmware.written.folders import OURS

NAME = "journal.db"


def journal_file(environ: Mapping[str, str]) -> Path:
    """Where marks are kept unless somebody names another file.

    systemd names the service's folder in STATE_DIRECTORY (systemd.exec(5)); else it is the data
    folder of the XDG Base Directory Specification, version 0.8.
    """
    named = environ.get("STATE_DIRECTORY", "").partition(":")[0]
    if named.startswith("/"):
        return Path(named) / NAME
    data = environ.get("XDG_DATA_HOME", "")
    home = environ.get("HOME", "")
    folder = Path(data) if data.startswith("/") else Path(home or "/") / ".local" / "share"
    return folder / OURS / NAME


def journal_to_read(
    asked: Path | None, environ: Mapping[str, str], appliance: Path = APPLIANCE_FOLDER
) -> Path:
    """The journal that is meant: the one named, else one's own, else the appliance's."""
    if asked is not None:
        return asked
    own = journal_file(environ)
    of_appliance = appliance / NAME
    return of_appliance if of_appliance.is_file() and not own.is_file() else own
