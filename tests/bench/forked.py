"""Starts commands from one process that has loaded what they load, by forking it for each.

A command that starts by itself spends most of a second on loading; two hundred of each are then an
hour. Here `Nursery` starts a process that imports every module of the project, and forks it for
each command: what the command does, and how its interpreter shuts down, is its own. That process
has a single thread when it is forked, and nothing was opened or decoded in it; only the kernels
that every 8-bit feed is measured with are loaded in it, too.

    python tests/bench/forked.py FD

is that process: on the socket FD it is sent an object of words with the descriptor to write to,
answers with the number of the process, and when that has ended with its status, the seconds of
processor time that it took, and those that it waited for a processor.
"""

import importlib
import json
import os
import pkgutil
import socket
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("overlays", "firmware")
MOST_BYTES = 1 << 16
"""Of the words of one command."""


def waited_s(pid: int) -> float:
    """Seconds that the main thread of a process has waited for a processor; 0 once it is gone.

    The second figure of proc(5)'s schedstat, which the kernel keeps until somebody has been told
    that the process has ended.
    """
    try:
        return int(Path(f"/proc/{pid}/schedstat").read_text().split()[1]) / 1e9
    except (FileNotFoundError, ProcessLookupError):
        return 0.0


class Nursery:
    """Forks commands; to be closed."""

    def __init__(self, environment: Mapping[str, str]) -> None:
        self._socket, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        self._process = subprocess.Popen(
            [sys.executable, __file__, str(theirs.fileno())],
            pass_fds=(theirs.fileno(),),
            env=dict(environment),
            # What it says while it loads is nobody's; and its streams must be of a pipe, as a
            # command's are, when these are put in their places.
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
        )
        theirs.close()

    @property
    def pid(self) -> int:
        """Of the process that forks."""
        return self._process.pid

    def start(self, words: Sequence[str], output: int) -> int:
        """Start a command that writes to a descriptor; the number of its process."""
        socket.send_fds(self._socket, [json.dumps(list(words)).encode()], [output])
        return int(self._heard())

    def ended(self, timeout_s: float) -> tuple[int, float, float]:
        """Its status, below 0 for a signal, and the seconds it was busy and waited, once it ended.

        Raises
        ------
        TimeoutError
            It has not.
        """
        self._socket.settimeout(timeout_s)
        try:
            status, busy_s, delay_s = self._heard()
        finally:
            self._socket.settimeout(None)
        return int(status), float(busy_s), float(delay_s)

    def close(self) -> None:
        """End the process that forks."""
        self._socket.close()
        self._process.communicate()

    def _heard(self) -> Any:
        return json.loads(self._socket.recv(MOST_BYTES))


def load() -> None:
    """Import every module; what cannot be had on this machine is left out, as commands do."""
    for package in PACKAGES:
        found = importlib.import_module(package)
        for each in pkgutil.walk_packages(found.__path__, f"{package}."):
            if not each.name.endswith("__main__"):
                try:
                    importlib.import_module(each.name)
                except ImportError:
                    continue
    importlib.import_module("firmware.live.preload").load_kernels()


def serve(asked: socket.socket) -> list[str] | None:
    """Fork for whatever is asked; words in the process that is to run them, None at the end."""
    while True:
        data, given, _, _ = socket.recv_fds(asked, MOST_BYTES, 1)
        if not data:
            return None
        pid = os.fork()
        if pid == 0:
            for descriptor in (1, 2):
                os.dup2(given[0], descriptor)
            os.close(given[0])
            asked.close()
            return [str(word) for word in json.loads(data)]
        os.close(given[0])
        asked.send(json.dumps(pid).encode())
        os.waitid(os.P_PID, pid, os.WEXITED | os.WNOWAIT)
        delay_s = waited_s(pid)
        _, status, spent = os.wait4(pid, 0)
        busy_s = spent.ru_utime + spent.ru_stime
        asked.send(json.dumps([os.waitstatus_to_exitcode(status), busy_s, delay_s]).encode())


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    load()
    words = serve(socket.socket(fileno=int(sys.argv[1])))
    if words is not None:
        sys.argv = [str(ROOT / "firmware" / "__main__.py"), *words]
        from firmware.__main__ import main

        main()
