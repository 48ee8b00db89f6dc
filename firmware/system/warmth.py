"""Whether every kernel is on the card for these libraries and this processor; else they are made.

numba finds out by itself that another processor or another release of its own made a kernel. It
does not look at numpy, whose arrays the machine code reads, and nobody is told that the next press
of a key will wait for a compiler. So what the kernels were made with stands beside them, written
when all of them are there.
"""

import contextlib
import json
import os
import platform
import subprocess
import sys
from collections.abc import Mapping
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from firmware.system.files import save
from firmware.system.kernel_cache import drop_all, kernel_folders, writable_folder

STAMP = "kernels.made-with"
"""Beside the folders of kernels."""

LIBRARIES = ("numba", "llvmlite", "numpy")
"""Of another release of these, machine code is not to be trusted."""

_OF_PROCESSOR = ("model name", "flags", "Features", "CPU implementer", "CPU part")
"""Lines of /proc/cpuinfo by which numba's own key may differ (x86 the first two, arm the rest)."""

_TOLD = ("NUMBA_CPU_NAME", "NUMBA_CPU_FEATURES")
"""numba's own settings of a processor (its Reference Manual, Environment variables)."""

_NOT_FOR_IT = frozenset({"NOTIFY_SOCKET", "WATCHDOG_USEC", "WATCHDOG_PID"})
"""What of the service's environment is between it and systemd alone."""

END_S = 2.0
"""How long a warming may take to end when it is told to."""


def made_with(root: Path = Path("/")) -> dict[str, str]:
    """Releases of what kernels depend on, and the processor, as text."""
    found = {name: _release(name) for name in (*LIBRARIES, "midgrey")}
    found["python"] = platform.python_version()
    # Where numba is told which processor to compile for, the one at hand does not matter.
    told = {name: os.environ[name] for name in _TOLD if os.environ.get(name)}
    return {**found, **(told or _processor(root))}


def _release(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:  # not installed but run from its folder
        return ""


def _processor(root: Path) -> dict[str, str]:
    try:
        lines = (root / "proc/cpuinfo").read_text("utf-8", "replace").splitlines()
    except OSError:
        return {}
    pairs = (line.partition(":")[::2] for line in lines)
    return {key.strip(): value.strip() for key, value in pairs if key.strip() in _OF_PROCESSOR}


def is_warm(environ: Mapping[str, str], root: Path = Path("/")) -> bool:
    """Whether every kernel was made with what there is now."""
    return _stamped(environ) == made_with(root)


def note_warm(environ: Mapping[str, str], root: Path = Path("/")) -> None:
    """Every kernel is on the card now.

    Raises
    ------
    OSError
        That cannot be written.
    """
    path = _path(environ)
    if path is not None:
        path.parent.mkdir(parents=True, exist_ok=True)
        save(path, (json.dumps(made_with(root), indent=1) + "\n").encode())


def drop_strange(environ: Mapping[str, str]) -> bool:
    """Take kernels away that were made with another library; whether there were any.

    To be called before numba is loaded. The stamp goes first: what is made from now on is kept.
    What was made for another processor numba leaves aside by itself.
    """
    stamped, path = _stamped(environ), _path(environ)
    if stamped is None or path is None:
        return False
    if all(stamped.get(name) == _release(name) for name in LIBRARIES):
        return False
    path.unlink(missing_ok=True)
    drop_all(kernel_folders(environ))
    return True


def _path(environ: Mapping[str, str]) -> Path | None:
    folder = writable_folder(environ)
    return None if folder is None else folder / STAMP


def _stamped(environ: Mapping[str, str]) -> dict[str, str] | None:
    """What was written; None where nothing was that can be read."""
    path = _path(environ)
    if path is None:
        return None
    try:
        found = json.loads(path.read_text("utf-8", "replace"))
    except (OSError, ValueError, RecursionError):
        return None
    return found if isinstance(found, dict) else None


class Warming:
    """Makes every kernel in a process of its own, beside the picture, where they are not there.

    Parameters
    ----------
    environ:
        Of this process.
    command:
        What makes them; the usual one unless another is given.
    """

    def __init__(self, environ: Mapping[str, str], command: list[str] | None = None) -> None:
        self._environ = dict(environ)
        self._command = command or [sys.executable, "-m", "firmware.live.warm", "--quietly"]
        self._process: subprocess.Popen[bytes] | None = None
        self._is_warm = is_warm(environ)

    @property
    def is_warm(self) -> bool:
        """Whether all of them are there; answers at once."""
        if not self._is_warm and self._process is not None and self._process.poll() == 0:
            self._is_warm = True
        return self._is_warm

    def begin(self) -> None:
        """Begin where there is need; a process that cannot be had leaves all as it is."""
        if self._is_warm or self._process is not None:
            return
        kept = {key: value for key, value in self._environ.items() if key not in _NOT_FOR_IT}
        quiet = subprocess.DEVNULL
        with contextlib.suppress(OSError):
            self._process = subprocess.Popen(self._command, env=kept, stdin=quiet, stdout=quiet)

    def close(self) -> None:
        """End it; what it has made so far is kept, and the next start goes on."""
        if self._process is None or self._process.poll() is not None:
            return
        self._process.terminate()
        try:
            self._process.wait(END_S)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
