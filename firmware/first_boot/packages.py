"""Debian packages that lie on the card as files, installed without a network.

dpkg brings what it unpacks to the card before it goes on (dpkg(1), --force-unsafe-io), so what a
power cut leaves is known to it, and the same two calls go on from there. It opens each file that it
is given before it finds it done, half a second each on a slow board, so what is done is not given
to it again: where power stays for half a minute at a time, most of that goes into new packages.
"""

import os
import re
import subprocess
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import unquote

from firmware.errors import FirstBootError

_WORK = re.compile(r"processing: (install|upgrade|configure): ")
_LAST = 300
_KEPT_EVERY_S = 5.0
"""What a package's own script makes, as compiled code, it does not bring to the card itself; the
kernel would keep it in memory for half a minute (vm.dirty_expire_centisecs)."""
_UNPACKED = frozenset(
    {"unpacked", "half-configured", "triggers-awaited", "triggers-pending", "installed"}
)
"""States of a package whose files are all there (dpkg(1), PACKAGE STATES)."""

Said = Callable[[float], None]


def install(
    folder: Path, said: Said, dpkg: str = "dpkg", query: tuple[str, ...] = ("dpkg-query",)
) -> None:
    """Install every package in a folder; one that is there already is left alone.

    Parameters
    ----------
    folder:
        With files of Debian packages, all that is needed among them.
    said:
        Told how much is done, 0 to 1.
    dpkg, query:
        The programs.

    Raises
    ------
    FirstBootError
        They cannot be installed.
    """
    files = sorted(str(path) for path in folder.glob("*.deb"))
    if not files:
        return
    words = [dpkg, "--status-fd", "1", "--force-confdef", "--force-confold"]
    left = unfinished(files, _known(query))
    # One after the other: what an earlier try unpacked is passed over by the first, and in one go
    # the others would then be found to need what is not configured.
    if left:
        done = (len(files) - len(left)) / (2 * len(files))
        unpack = [*words, "--skip-same-version", "--refuse-downgrade", "--unpack", *left]
        _run(unpack, len(files), lambda more: said(min(0.5, done + more)))
    _run([*words, "--configure", "--pending"], len(files), lambda done: said(0.5 + done))


def unfinished(files: list[str], known: str) -> list[str]:
    """The files of packages that are not unpacked yet, or not in their version.

    Parameters
    ----------
    files:
        Named as apt names them: ``NAME_VERSION_ARCHITECTURE.deb``; one that is not is kept.
    known:
        A line for each package that the system knows: name, version, architecture, state.

    Examples
    --------
    >>> unfinished(["a_1%3a2_all.deb", "b_1_arm64.deb", "c.deb"], "a 1:2 all installed")
    ['b_1_arm64.deb', 'c.deb']
    """
    there = set()
    for name, version, architecture, state in map(str.split, known.splitlines()):
        if state in _UNPACKED:
            there.add(f"{name}_{version}_{architecture}.deb")
    return [each for each in files if unquote(Path(each).name) not in there]


def _known(query: tuple[str, ...]) -> str:
    """What the system knows of its packages; nothing where it cannot be asked."""
    form = "${Package} ${Version} ${Architecture} ${db:Status-Eflag}:${db:Status-Status}\n"
    command = [*query, "--show", f"--showformat={form}"]
    try:
        said = subprocess.run(command, capture_output=True, text=True, check=False).stdout
    except OSError:
        return ""
    # One that dpkg wants to have installed again is left to it; one without a version is not there.
    fine = [line.replace(" ok:", " ") for line in said.splitlines() if " ok:" in line]
    return "\n".join(line for line in fine if len(line.split()) == 4)


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
    with (
        _keeping(),
        subprocess.Popen(command, stdin=quiet, text=True, env=environ, **both) as process,  # type: ignore[call-overload]
    ):
        for share in progress(heard(process.stdout), packages):
            said(share)
    if process.returncode:
        wrong = [line for line in last if "rror" in line or "depend" in line] or last
        raise FirstBootError(
            f"the packages could not be installed ({' '.join(wrong)[-_LAST:]}): the next start "
            "tries again; if it fails again, write the card anew"
        )


@contextmanager
def _keeping() -> Iterator[None]:
    """Bring what is written meanwhile to the card now and then: a cut then takes little of it."""
    is_over = threading.Event()

    def keep() -> None:
        while not is_over.wait(_KEPT_EVERY_S):
            os.sync()

    thread = threading.Thread(target=keep, name="keeping", daemon=True)
    thread.start()
    try:
        yield
    finally:
        is_over.set()
        thread.join()
