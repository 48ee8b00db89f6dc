"""A network of two machines on this one, whose cable can be pulled: namespaces of the kernel.

ip-netns(8) and veth(4): whoever is started `inside` has that network alone. A pulled cable is a
link that is down: what was under way is lost, nobody is told, and connections stay as they were.
"""

import fcntl
import os
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.brokers import program

HERE, THERE = "10.213.0.1", "10.213.0.2"
"""Of a private network (RFC 1918) that begins and ends on this machine."""


class CutNetwork:
    """The way between this machine and a namespace of its own."""

    def __init__(self) -> None:
        self._ip = program("ip")
        self.name = f"midgrey-{os.getpid()}"
        self._near, self._far = f"mg{os.getpid() % 100_000}a", f"mg{os.getpid() % 100_000}b"

    def make(self) -> None:
        """Make it; skipped where this user may not."""
        told = self._run("netns", "add", self.name)
        if told.returncode:
            pytest.skip(f"no network namespace can be made here: {told.stderr.strip()}")
        for words in (
            f"link add {self._near} type veth peer name {self._far}",
            f"link set {self._far} netns {self.name}",
            f"addr add {HERE}/24 dev {self._near}",
            f"link set {self._near} up",
            f"-n {self.name} addr add {THERE}/24 dev {self._far}",
            f"-n {self.name} link set {self._far} up",
            f"-n {self.name} link set lo up",
        ):
            assert self._run(*words.split()).returncode == 0, words

    def inside(self, *words: str) -> list[str]:
        """A command as it is started there."""
        return [self._ip, "netns", "exec", self.name, *words]

    def cut(self) -> None:
        """Pull the cable."""
        assert self._run("link", "set", self._near, "down").returncode == 0

    def mend(self) -> None:
        """Put it back."""
        assert self._run("link", "set", self._near, "up").returncode == 0

    def close(self) -> None:
        """Take all of it away."""
        self._run("link", "delete", self._near)
        self._run("netns", "delete", self.name)

    def _run(self, *words: str) -> "subprocess.CompletedProcess[str]":
        command = [self._ip, *words]
        return subprocess.run(command, capture_output=True, text=True, check=False, timeout=20)


@contextmanager
def cut_network() -> Iterator[CutNetwork]:
    """One for as long as it is needed; whoever else wants one on this machine waits for its end.

    Two have the same addresses.
    """
    made = CutNetwork()
    with Path(tempfile.gettempdir(), f"midgrey-cut-network-{os.getuid()}").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        try:
            made.make()
            yield made
        finally:
            made.close()
