"""The journal for a phone, made in a process of its own: a long day takes seconds of a processor.

The page's threads share their interpreter with the loop, and what computes in Python there would
hold it up. A process does not, and is put behind everything else by its priority.
"""

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from firmware.errors import PageError

LONGEST_S = 180.0
"""A report of ten thousand marks takes a board minutes: then it is made from the card instead."""
NICE = 10
ENDINGS = {"csv": "text/csv; charset=utf-8", "html": "text/html; charset=utf-8"}
_OPTION = {"csv": "--csv", "html": "--report"}
LISTING = "firmware.page.listing"
MOST_SAID = 400


def listed(journal: Path) -> list[dict[str, object]]:
    """What was marked, the newest first; nothing where there is no journal yet.

    Raises
    ------
    PageError
        The journal cannot be read.
    """
    if not journal.is_file():
        return []
    told = _run([LISTING, str(journal)])
    found: list[dict[str, object]] = json.loads(told)
    return found


def made(journal: Path, ending: str, day: str | None) -> bytes:
    """A table or a report of the journal, as `midgrey journal` writes it.

    Parameters
    ----------
    ending:
        One of `ENDINGS`.
    day:
        Of that day alone.

    Raises
    ------
    PageError
        It cannot be made.
    """
    if not journal.is_file():
        raise PageError("nothing was marked yet")
    with tempfile.TemporaryDirectory(prefix="midgrey-page-") as folder:
        path = Path(folder) / f"journal.{ending}"
        of_day = [] if day is None else ["--day", day]
        _run(
            ["firmware", "journal", "--journal", str(journal), _OPTION[ending], str(path), *of_day]
        )
        return path.read_bytes()


def _run(module: Sequence[str]) -> bytes:
    home = str(Path(__file__).parents[2])
    before = os.environ.get("PYTHONPATH", "")
    environ = {**os.environ, "PYTHONPATH": f"{home}{os.pathsep}{before}" if before else home}
    environ.pop("NOTIFY_SOCKET", None)  # it is no service that reports
    try:
        done = subprocess.run(
            ["nice", "-n", str(NICE), sys.executable, "-m", *module],
            env=environ,
            capture_output=True,
            timeout=LONGEST_S,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise PageError(
            "that takes too long here: take the card out and run midgrey journal at a desk"
        ) from None
    except OSError as fault:
        raise PageError(f"no process can be started for that ({fault.strerror})") from fault
    if done.returncode:
        said = done.stderr.decode("utf-8", "replace").strip().splitlines()
        words = said[-1].removeprefix("midgrey: ") if said else "it cannot be read"
        raise PageError(f"the journal: {words[:MOST_SAID]}")
    return done.stdout
