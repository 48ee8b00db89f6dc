"""A command that goes on beside the tests of a run, begun by one of its processes.

Whichever process asks for it waits for that one: which tests a process gets hangs on how quick the
others are, and a check of a minute was made twice where another one asked.
"""

import atexit
import contextlib
import os
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

# The command's own words follow; its status is there when all that it said is.
_SHELL = 'out=$1; shift; "$@" >"$out/said" 2>&1; echo $? >"$out/part"; mv "$out/part" "$out/status"'
STEP_S = 0.05


def folder_of_run() -> Path:
    """A folder that all processes of one run of tests have in common."""
    run = os.environ.get("PYTEST_XDIST_TESTRUNUID", f"alone-{os.getpid()}")
    return Path(tempfile.gettempdir(), f"midgrey-beside-{run}")


class GoingOn:
    """One command; the same object in each process of a run.

    Parameters
    ----------
    name:
        Of the command among those of a run.
    words:
        What is started.
    place:
        The folder it is started in.
    run:
        What the processes have in common; of this run if there is none.
    """

    def __init__(
        self, name: str, words: Sequence[str], place: Path, run: Path | None = None
    ) -> None:
        self._folder = (run or folder_of_run()) / name
        self._words, self._place = words, place

    def begin(self) -> None:
        """Start it, if none of the run's processes has."""
        try:
            self._folder.mkdir(parents=True)
        except FileExistsError:
            return
        started = subprocess.Popen(
            ["/bin/sh", "-c", _SHELL, "sh", str(self._folder), *self._words],
            cwd=self._place,
            start_new_session=True,
        )
        atexit.register(self._end, started)

    def ended(self, within_s: float) -> tuple[int, str]:
        """Its status and all that it said, on either stream; begun where nobody had.

        It is forgotten with that: whoever asks again has it made again.

        Raises
        ------
        TimeoutError
            It goes on.
        """
        until = time.monotonic() + within_s
        while time.monotonic() < until:
            self.begin()  # also where its process ended, and it with that
            with contextlib.suppress(FileNotFoundError):
                status = int((self._folder / "status").read_text())
                said = (self._folder / "said").read_text()
                self._forget()
                return status, said
            time.sleep(STEP_S)
        raise TimeoutError(f"{self._words} goes on after {within_s:.0f} s")

    def _end(self, started: subprocess.Popen[bytes]) -> None:
        """Where the run ends before it is asked for."""
        if started.poll() is None:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(started.pid, signal.SIGKILL)
            started.wait()
            self._forget()

    def _forget(self) -> None:
        shutil.rmtree(self._folder, ignore_errors=True)
        with contextlib.suppress(OSError):  # another one of the run is there yet
            self._folder.parent.rmdir()
