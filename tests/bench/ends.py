"""How every command ends: its status, and how long its process lives on after its report.

    python tests/bench/ends.py [--json] [--forked] [--runs N] [--kept FILE] [--command NAME]...

Each command is run on short files made here (clean and damaged H.264, MJPEG, a PNG; a bracket of a
grey card for those that ask for one), one after the other; a clip that is damaged in every picture
gives its decoder's threads something to log until the very end. Commands that read no feed run on
what else they need. The views of the screen (target, review) are `run`'s. A process that lives
longer than five seconds after the last it wrote is late, and is ended where it is silent for a
minute; another status than in the command's first run on that file counts as a fault. The first run
on each file, which may compile kernels, is not counted.

What its main thread only waited for a processor that others had, as the kernel counts it, is no
part of these five seconds; it is said beside them, as is what it spent on one.

With --forked a command does not start by itself but is forked from a process that has loaded what
it loads (`forked.py`): a third of the time, and the same end. How many were is said.
"""

import argparse
import json
import os
import resource
import select
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from tests.bench.forked import Nursery, waited_s
from tests.bench.short_runs import EVERY, PRESET, cards, files, words_of
from tests.running import START, environment

LATE_S = 5.0
FORKED = "forked"
"""In a line of a kept run that did not start by itself."""
LONGEST_S = 60.0
"""What is silent for longer than this after it spoke has nothing more to say."""
CLOSING_S = 5.0
"""From its output's end to its own: a busy machine may be in between."""
LOOK_S = 0.002
FIRST_WORD_S = 600.0
"""How long it may be silent before that: a start takes a second of processor time, which others on
the same machine may stretch, and lateness is counted from the report on."""


class Run(NamedTuple):
    """How a command ended.

    Attributes
    ----------
    status:
        None where it had to be ended.
    after_s:
        From its report to its end.
    busy_s, waited_s:
        On a processor, and for one, in this time; None where it was not noted.
    """

    status: int | None
    after_s: float
    busy_s: float | None = None
    waited_s: float | None = None

    @property
    def is_late(self) -> bool:
        """Whether it lived on for too long."""
        return self.status is None or self.after_s - (self.waited_s or 0.0) > LATE_S

    @property
    def words(self) -> str:
        """Its times."""
        said = f"{self.after_s:.2f} s after the report"
        if self.busy_s is not None:
            said += f", busy in {self.busy_s:.2f} s of it"
        if self.waited_s is not None:
            said += f", waiting for a processor in {self.waited_s:.2f}"
        return said


NONE = Run(0, 0.0)
"""Before the first."""


@dataclass(slots=True)
class Ends:
    """How the runs of one command ended.

    Attributes
    ----------
    statuses:
        How often each exit status was.
    late:
        Runs that lived on for too long, or never reported.
    other:
        Runs that ended otherwise than the first of their kind.
    longest:
        The one with the longest time from the last that was written to the end of the process.
    """

    statuses: dict[int, int] = field(default_factory=dict)
    late: int = 0
    other: int = 0
    longest: Run = NONE

    def add(self, run: Run, usual: int | None) -> None:
        """Count a run."""
        self.late += run.is_late
        if run.status is None:
            return
        self.statuses[run.status] = self.statuses.get(run.status, 0) + 1
        self.other += run.status != usual
        self.longest = max(self.longest, run, key=lambda each: each.after_s)


class Apart:
    """Starts each command by itself."""

    def start(self, words: Sequence[str], output: int) -> int:
        """Start a command that writes to a descriptor; the number of its process."""
        self._process = subprocess.Popen(
            [*START, *words], stdout=output, stderr=output, env=environment()
        )
        self._before_s = _children_s()
        return self._process.pid

    def ended(self, timeout_s: float) -> tuple[int, float, float]:
        """Its status, and the seconds it was busy and waited, once it ended; or `TimeoutError`."""
        over_s, pid = time.monotonic() + timeout_s, self._process.pid
        while os.waitid(os.P_PID, pid, os.WEXITED | os.WNOWAIT | os.WNOHANG) is None:
            if time.monotonic() > over_s:
                raise TimeoutError
            time.sleep(LOOK_S)
        delay_s = waited_s(pid)
        return self._process.wait(), _children_s() - self._before_s, delay_s


def one(words: Sequence[str], starter: Apart | Nursery) -> Run:
    """Run a command and see it end; what writes nothing but a picture has reported with that."""
    picture = next((Path(word) for word in words if word.endswith("lineup.png")), None)
    pipe, output = os.pipe()
    pid = starter.start(words, output)
    os.close(output)
    said_s, patience_s, spent_s, delay_s = time.monotonic(), FIRST_WORD_S, 0.0, 0.0
    while select.select([pipe], [], [], patience_s)[0] and os.read(pipe, 1 << 16):
        said_s, patience_s = time.monotonic(), LONGEST_S
        spent_s, delay_s = _spent_s(pid), waited_s(pid)
    is_over = True
    try:  # its output is closed when it ends
        status, busy_s, waited = starter.ended(CLOSING_S)
    except TimeoutError:
        is_over = False
        os.kill(pid, signal.SIGKILL)
        status, busy_s, waited = starter.ended(LONGEST_S)
    os.close(pipe)
    ended_s = time.monotonic()
    if picture is not None and picture.exists():
        # How much of the rest came before the picture was saved is not known.
        said_s = max(said_s, ended_s - (time.time() - picture.stat().st_mtime))
        return Run(status if is_over else None, ended_s - said_s)
    rest = max(0.0, busy_s - spent_s), max(0.0, waited - delay_s)
    return Run(status if is_over else None, ended_s - said_s, *rest)


def _children_s() -> float:
    """Processor time of all that this process started and that has ended."""
    spent = resource.getrusage(resource.RUSAGE_CHILDREN)
    return spent.ru_utime + spent.ru_stime


def _spent_s(pid: int) -> float:
    """Processor time of a process and of what it started, so far; in steps of 0.01 s."""
    try:
        fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    except (
        FileNotFoundError,
        ProcessLookupError,
    ):  # it has ended, and whoever forked it has seen so
        return 0.0
    ticks = sum(int(each) for each in fields[11:15])  # utime, stime, cutime, cstime: proc(5)
    return ticks / os.sysconf("SC_CLK_TCK")


def ends(
    command: str,
    paths: Sequence[str],
    runs: int,
    folder: Path,
    kept: Path | None,
    starter: Apart | Nursery,
) -> Ends:
    """Run a command so often, on one file after the other, each once before that.

    What a file of runs already holds is counted and not run again.
    """
    out, usual = Ends(), {}
    before = _before(kept)
    is_whole = all((command, number) in before for number in range(runs))
    for number in range(-len(paths), runs):
        path = paths[number % len(paths)]
        # Where nothing is left to run, the usual status is that of the first run that was kept.
        known = number if number >= 0 else number % len(paths)
        run = before.get((command, known)) if number >= 0 or is_whole else None
        if run is None:
            run = one(words_of(command, path, folder), starter)
            if kept is not None and number >= 0:
                way = [FORKED] if isinstance(starter, Nursery) else []
                with kept.open("a") as file:
                    file.write(json.dumps([command, number, *run, *way]) + "\n")
        if number < 0:
            usual[path] = run.status
        else:
            out.add(run, usual[path])
    return out


def _before(kept: Path | None) -> dict[tuple[str, int], Run]:
    """Runs of a file of them, by command and number; older ones did not note all times."""
    lines = kept.read_text().splitlines() if kept is not None and kept.exists() else []
    return {
        (name, number): Run(*(each for each in run if each != FORKED))
        for name, number, *run in map(json.loads, lines)
    }


def main() -> None:
    """Run and print; the status is 1 where a run was late or ended otherwise."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true")
    parser.add_argument(
        "--forked", action="store_true", help="from one process, a third of the time"
    )
    parser.add_argument("--runs", type=int, default=200, help="of each command")
    parser.add_argument("--command", action="append", choices=EVERY)
    parser.add_argument("--kept", type=Path, help="file of runs: a long one can be broken off")
    parser.add_argument("--files", type=int, default=4, help="how many of the files, 1 to 4")
    asked = parser.parse_args()
    found: dict[str, Ends] = {}
    starter = Nursery(environment()) if asked.forked else Apart()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        paths = files(folder)[: asked.files]
        cards(folder)
        (folder / "unit.toml").write_text(PRESET)
        for command in asked.command or EVERY:
            found[command] = ends(command, paths, asked.runs, folder, asked.kept, starter)
            if not asked.json:
                print(_line(command, asked.runs, found[command], asked.kept), flush=True)
    if isinstance(starter, Nursery):
        starter.close()
    if asked.json:
        print(json.dumps({command: _object(each) for command, each in found.items()}))
    if any(each.late or each.other for each in found.values()):
        raise SystemExit(1)


def _line(command: str, runs: int, made: Ends, kept: Path | None) -> str:
    said = ", ".join(f"{n} with {status}" for status, n in made.statuses.items())
    lines = kept.read_text().splitlines() if kept is not None and kept.exists() else []
    forked = sum(each[0] == command and each[-1] == FORKED for each in map(json.loads, lines))
    return (
        f"{command:12} {runs} runs: {said or 'none'}; late {made.late}, otherwise {made.other}, "
        f"longest {made.longest.words}" + (f"; {forked} of them forked" if forked else "")
    )


def _object(made: Ends) -> dict[str, object]:
    return {
        "statuses": {str(status): n for status, n in made.statuses.items()},
        "late": made.late,
        "other": made.other,
        "longest_s": round(made.longest.after_s, 2),
    }


if __name__ == "__main__":
    main()
