"""Fuzzing of files, profiles, charts, arguments and journals, each case in turn and none for long.

    nice -n 15 python -m tests.fuzz.run files --cases 20000 --state FOLDER [--seed N]

A worker process runs case after case; whoever started it ends it where one takes longer than
twenty seconds, or more memory than a gigabyte on top of what an idle one has, and starts another at
the next case. What was found stands in FOLDER as it comes, one line a case that went wrong; the
same command goes on where it was ended. The status is 1 where something was found.
"""

import argparse
import contextlib
import gc
import json
import os
import resource
import selectors
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from importlib import import_module
from pathlib import Path
from unittest import mock

from firmware.feeds.bench import feed as bench
from firmware.feeds.bench.kept_scene import kept_workshop
from tests.fuzz.cases import Fault, of_seed, run

KINDS = ("files", "profiles", "charts", "arguments", "journals", "presets", "settings")
LONGEST_S = 20.0
LOOK_S = 2.0
MOST_BYTES = 1 << 30
LOOSENED = 10
"""Cases after which what commands froze is let go."""
ROUND = 50
"""Cases that a worker reports on together."""


@dataclass
class Found:
    """What came of the cases so far; `done` is the number of the next one."""

    done: int = 0
    ends: Counter[str] = field(default_factory=Counter)
    faults: int = 0


def one(kind: str, seed: int, number: int, folder: Path) -> str:
    """Run a case; "0" or "2" where all of its command lines end as they may.

    Raises
    ------
    Fault
        One of them does not.
    """
    module = import_module(f"tests.fuzz.{kind}")
    statuses = [run(words) for words in module.case(of_seed(kind, seed, number), folder)]
    return str(max(statuses, default=0))


def work(kind: str, seed: int, first: int, last: int) -> None:
    """What a worker does: one line before each case, one behind it."""
    out = os.fdopen(os.dup(1), "w", buffering=1)
    nothing = os.open(os.devnull, os.O_RDWR)
    for number in (0, 1, 2):
        os.dup2(nothing, number)  # libraries in C write past Python's own streams
    # Kernels are looked through before every command, which takes long; no case changes them.
    unlooked = mock.patch(
        "firmware.system.kernel_cache.kernels_kept", return_value=contextlib.nullcontext()
    )
    drawn = cache(kept_workshop)  # the same scene in nearly every case
    once = mock.patch.object(
        bench, "kept_workshop", lambda rows, columns, _: drawn(rows, columns, None).copy()
    )
    with unlooked, once, tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        (folder / "out").mkdir()
        os.chdir(folder)
        with contextlib.suppress(Fault):
            one(kind, seed, 0, folder)  # brings in kernels, and what they need of memory
        _bound_memory()
        for number in range(first, last):
            print(json.dumps({"begins": number}), file=out)
            try:
                end = one(kind, seed, number, folder)
            except Fault as fault:
                end = f"fault: {fault!s:.300} ... {str(fault)[-2000:]}"
            if not number % LOOSENED:
                gc.unfreeze()  # each command freezes what stands, which here are all before it
                gc.collect()
            peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
            print(json.dumps({"ends": number, "with": end, "peak": peak}), file=out)


def _bound_memory() -> None:
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
    most = pages * os.sysconf("SC_PAGE_SIZE") + MOST_BYTES
    resource.setrlimit(resource.RLIMIT_AS, (most, most))


def lines(process: subprocess.Popen[str]) -> Iterator[dict[str, object] | None]:
    """What a worker says; None where it has worked or slept for too long, and then no more."""
    assert process.stdout is not None
    with selectors.DefaultSelector() as waiting:
        waiting.register(process.stdout, selectors.EVENT_READ)
        rest, used_s, begun_s, idle = "", 0.0, 0.0, 0
        # The first case brings in kernels, which may have to be compiled.
        most_s = 300.0
        while True:
            if not waiting.select(LOOK_S):
                # Beside other work a second by the clock is no second of the worker's.
                now_s = _worked_s(process.pid)
                idle = idle + 1 if now_s == used_s else 0
                begun_s, used_s = (now_s, now_s) if used_s == 0.0 else (begun_s, now_s)
                if used_s - begun_s > most_s or idle * LOOK_S > 4 * LONGEST_S:
                    yield None
                    return
                continue
            more = os.read(process.stdout.fileno(), 1 << 16).decode()
            if not more:
                return
            used_s, idle, most_s = 0.0, 0, LONGEST_S
            *whole, rest = (rest + more).split("\n")
            yield from map(json.loads, whole)


def _worked_s(process: int) -> float:
    """Seconds of processor that a process has had (proc(5): fields 14 and 15 of stat)."""
    fields = Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def drive(kind: str, seed: int, cases: int, state: Path) -> Found:
    """Run the cases that are not done yet."""
    state.mkdir(parents=True, exist_ok=True)
    faults, place = state / f"{kind}-{seed}.faults", state / f"{kind}-{seed}.json"
    found = Found()
    if place.exists():
        kept = json.loads(place.read_text(encoding="utf-8"))
        found = Found(kept["done"], Counter(kept["ends"]), kept["faults"])
    while found.done < cases:
        words = [sys.executable, "-m", "tests.fuzz.run", kind, "--work"]
        words += ["--seed", str(seed), "--from", str(found.done), "--cases", str(cases)]
        with subprocess.Popen(words, stdout=subprocess.PIPE, text=True) as process:
            running = None
            for said in lines(process):
                if said is None:
                    _note(faults, found, running, f"no end within {LONGEST_S:g} s")
                    break
                if "begins" in said:
                    running = said["begins"]
                    continue
                end = str(said["with"])
                if end.startswith("fault"):
                    _note(faults, found, running, end)
                else:
                    found.done, running = found.done + 1, None
                    found.ends[end] += 1
                if found.done % ROUND == 0:
                    _keep(place, found)
                running = None
            else:
                if running is not None or process.wait() != 0:
                    _note(faults, found, running, f"the process ended, {process.wait()}")
            process.kill()
        _keep(place, found)
    return found


def _note(faults: Path, found: Found, number: object, words: str) -> None:
    """A fault is written down at once, and the case is done with."""
    with faults.open("a", encoding="utf-8") as file:
        print(json.dumps({"case": number, "what": words}), file=file)
    found.done, found.faults = found.done + 1, found.faults + 1
    found.ends["fault"] += 1


def _keep(place: Path, found: Found) -> None:
    made = {"done": found.done, "ends": dict(found.ends), "faults": found.faults}
    place.write_text(json.dumps(made), encoding="utf-8")


def main() -> int:
    """Run from the command line."""
    asked = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    asked.add_argument("kind", choices=KINDS)
    asked.add_argument("--cases", type=int, default=1000)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--state", type=Path, default=Path("fuzzed"))
    asked.add_argument("--work", action="store_true", help=argparse.SUPPRESS)
    asked.add_argument("--from", type=int, default=0, dest="first", help=argparse.SUPPRESS)
    given = asked.parse_args()
    if given.work:
        work(given.kind, given.seed, given.first, given.cases)
        return 0
    began_s = time.monotonic()
    found = drive(given.kind, given.seed, given.cases, given.state)
    took_s = time.monotonic() - began_s
    print(f"{given.kind}: {found.done} cases, {dict(found.ends)}, {took_s:.0f} s")
    return 1 if found.faults else 0


if __name__ == "__main__":
    sys.exit(main())
