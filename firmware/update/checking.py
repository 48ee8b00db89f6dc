"""A version's own check, before anything starts it: it runs here, and measures what it should.

It reads the bench, whose light is known, as the unit's user and with the kernels that it will use;
then the rest of its kernels are made. All of that beside the version that runs, after everything
else by its priority.
"""

import json
import os
import pwd
import subprocess
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from firmware.system.files import read_small
from firmware.update.places import COMMAND, KERNELS, PYTHON_COMMAND

USER = "midgrey"
SETTINGS = Path("/etc/midgrey/environment")
READ_S, KERNELS_S = 900.0, 1800.0
"""How long it may take: a board makes its kernels in minutes, an emulated one in a quarter hour."""
NEAR_STOPS = 0.05
"""How far from the truth of the bench's grey card a reading may be; its ± is a tenth of that."""
MOST_SAID = 200


@dataclass(frozen=True, slots=True)
class Ended:
    """How a process of a version ended: its status, None where it took too long, and its words."""

    status: int | None
    out: bytes
    err: bytes


Start = Callable[[Sequence[str], Mapping[str, str], float], Ended]
"""Runs words with an environment for so many seconds at the most."""


def own_check(folder: Path, start: Start) -> str:
    """Why a version is not to be taken; empty where it is.

    Parameters
    ----------
    folder:
        Of the version, where it will lie for good: kernels are kept by that.
    start:
        How its processes are run.
    """
    environ = environ_of(SETTINGS)
    ended = start([str(folder / COMMAND), "read", "bench", "--json"], environ, READ_S)
    if ended.status is None:
        return f"it reads nothing within {READ_S / 60:g} minutes here"
    if ended.status:
        return f"it does not run here ({_last(ended.err)})"
    off = _off(ended.out)
    if off is None or abs(off) > NEAR_STOPS:
        return "it does not read its own bench as it should"
    # Where that fails, kernels are made at its start: slower, and no reason to refuse it.
    start(
        [str(folder / PYTHON_COMMAND), "-m", "firmware.live.warm", "--quietly"], environ, KERNELS_S
    )
    return ""


def _off(content: bytes) -> float | None:
    """By how many stops the reading is off the truth; None where it cannot be told."""
    try:
        told: Any = json.loads(content)
        spot = told["spots"][0]
        return float(spot["stops"]) - float(spot["truth"]["stops"])
    except (ValueError, TypeError, LookupError, RecursionError):
        return None


def _last(err: bytes) -> str:
    lines = err.decode("utf-8", "replace").strip().splitlines()
    words = lines[-1].removeprefix("midgrey: ") if lines else "it does not say why"
    return "".join(each if each.isprintable() else "?" for each in words)[:MOST_SAID]


def environ_of(settings: Path) -> dict[str, str]:
    """What the unit's service runs with, as far as it matters for its kernels."""
    try:
        lines = read_small(settings, 65_536).decode("utf-8", "replace").splitlines()
    except OSError:
        lines = []
    pairs = (line.partition("=") for line in lines if line.startswith("NUMBA_CPU_"))
    return {
        **{key: value.strip() for key, _, value in pairs},
        "PATH": "/usr/bin:/bin",
        "HOME": "/var/lib/midgrey",
        "LC_ALL": "C.UTF-8",
        "NUMBA_CACHE_DIR": str(KERNELS),
        "PYTHONDONTWRITEBYTECODE": "1",
        "PYGAME_HIDE_SUPPORT_PROMPT": "1",
    }


def start_as_user(words: Sequence[str], environ: Mapping[str, str], longest_s: float) -> Ended:
    """Run as the unit's user where root asks, with all that he belongs to; else as who asks."""
    given: dict[str, Any] = {}
    if os.geteuid() == 0:
        user = pwd.getpwnam(USER)
        groups = os.getgrouplist(USER, user.pw_gid)
        given = {"user": user.pw_uid, "group": user.pw_gid, "extra_groups": groups}
    try:
        done = subprocess.run(
            ["/usr/bin/nice", "-n", "15", *words],
            env=dict(environ),
            capture_output=True,
            stdin=subprocess.DEVNULL,
            timeout=longest_s,
            check=False,
            cwd="/",
            **given,
        )
    except subprocess.TimeoutExpired:
        return Ended(None, b"", b"")
    return Ended(done.returncode, done.stdout, done.stderr)
