"""Debian packages that lie on the card as files, installed without a network.

dpkg brings what it unpacks to the card before it goes on (dpkg(1), --force-unsafe-io), so what a
power cut leaves is known to it, and the same two calls go on from there.
"""

import os
import re
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

from firmware.errors import FirstBootError

_WORK = re.compile(r"processing: (install|upgrade|configure): ")
_LAST = 300

Said = Callable[[float], None]


def install(folder: Path, said: Said, dpkg: str = "dpkg") -> None:
    """Install every package in a folder; one that is there already is left alone.

    Parameters
    ----------
    folder:
        With files of Debian packages, all that is needed among them.
    said:
        Told how much is done, 0 to 1.
    dpkg:
        The program.

    Raises
    ------
    FirstBootError
        They cannot be installed.
    """
    files = sorted(str(path) for path in folder.glob("*.deb"))
    if not files:
        return
    words = [dpkg, "--status-fd", "1", "--force-confdef", "--force-confold"]
    # One after the other: what an earlier try unpacked is passed over by the first, and in one go
    # the others would then be found to need what is not configured.
    unpack = [*words, "--skip-same-version", "--refuse-downgrade", "--unpack", *files]
    _run(unpack, len(files), said)
    _run([*words, "--configure", "--pending"], len(files), lambda done: said(0.5 + done))


def progress(lines: Iterator[str], packages: int) -> Iterator[float]:
    """How much is done, from what dpkg says: unpacking all is a half, configuring all another.

    Examples
    --------
    >>> said = ["processing: install: a", "status: a: unpacked", "processing: install: b"]
    >>> list(progress(iter(said), 2))
    [0.0, 0.25]
    """
    begun = 0
    for line in lines:
        if _WORK.match(line):
            yield min(0.5, begun / (2 * packages))
            begun += 1


def _run(command: list[str], packages: int, said: Said) -> None:
    last: list[str] = []

    def heard(lines: Iterator[str]) -> Iterator[str]:
        for line in lines:
            last[:] = [*last, line.strip()][-20:]
            yield line

    environ = {
        **os.environ,
        "DEBIAN_FRONTEND": "noninteractive",
        "LC_ALL": "C.UTF-8",
        "PATH": "/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin",
    }
    quiet = subprocess.DEVNULL
    both = {"stdout": subprocess.PIPE, "stderr": subprocess.STDOUT}
    with subprocess.Popen(command, stdin=quiet, text=True, env=environ, **both) as process:  # type: ignore[call-overload]
        for share in progress(heard(process.stdout), packages):
            said(share)
    if process.returncode:
        wrong = [line for line in last if "rror" in line or "depend" in line] or last
        raise FirstBootError(
            f"the packages could not be installed ({' '.join(wrong)[-_LAST:]}): the next start "
            "tries again; if it fails again, write the card anew"
        )
