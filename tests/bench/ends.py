"""How every command ends: its status, and how long its process lives on after its report.

    python tests/bench/ends.py [--json] [--runs N] [--kept FILE] [--command NAME]...

Each command is run on short files made here (clean and damaged H.264, MJPEG, a PNG; a bracket of a
grey card for those that ask for one), one after the other; a clip that is damaged in every picture
gives its decoder's threads something to log until the very end. Commands that read no feed run on
what else they need. The views of the screen (target, review) are `run`'s. A process that lives
longer than five seconds after the last it wrote is late, and is ended where it is silent for a
minute; another status than in the command's first run on that file counts as a fault. The first run
on each file, which may compile kernels, is not counted.

Beside that time stands what of it the process, and what it started, spent on a processor: one that
only waits for its turn on a busy machine looks late and spends nothing.
"""

import argparse
import json
import os
import resource
import select
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

import av
import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from tests.clips import complaining, noisy, planes_frame, write
from tests.running import START, environment

LATE_S = 5.0
LONGEST_S = 60.0
"""What is silent for longer than this after it spoke has nothing more to say."""
FIRST_WORD_S = 600.0
"""How long it may be silent before that: a start takes a second of processor time, which others on
the same machine may stretch, and lateness is counted from the report on."""
SPOTS = ("--at", "80,90,32", "--at", "160,90,32", "--at", "240,90,32")
TAKES: dict[str, tuple[str, ...]] = {
    "run": ("--frames", "3", "--size", "320x240"),
    "read": (),
    "expose": ("--aperture", "4"),
    "chips": SPOTS,
    "pins": SPOTS,
    "match": SPOTS,
    "watch": ("--seconds", "0.5"),
    "balance": (),
    "chart": (),
}
"""Commands that read a feed, with what they need besides; match gets its file twice."""
OF_CARDS = ("feedcheck", "characterise")
"""Commands that read cap, cards and clip: frames of one file."""
ALONE: dict[str, tuple[str, ...]] = {
    "doctor": (),
    "schema": (),
    "profiles": ("--curves",),
    "presets": ("{folder}",),
    "units": ("--preset", "{folder}/unit.toml"),
    "network": ("--device", "midgrey-none0"),
    "journal": ("--journal", "{folder}/journal.jsonl"),
    "update": ("--list",),
    "lineup": ("--screenshot", "{folder}/lineup.png", "--size", "320x240"),
    "selftest": ("--alone", "--only", "1", "{folder}/selftest.zip"),
}
"""Commands that read no feed; `{folder}` is where the files lie."""
EVERY = (*TAKES, *OF_CARDS, *ALONE)
PRESET = """[kit]
unit = "ends"
broker = "127.0.0.1:9"
password = "nobody's"
"""
"""Of a kit whose broker does not answer: nothing listens on the port that is for discarding."""
CARD_CODES = (16, *range(40, 236, 12), 240)
"""Luma of a cap, a bracket in third stops and a clip; what curve they are of is not the matter."""


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
    longest_s:
        The longest time from the last that was written to the end of the process.
    busy_s:
        What that process spent on a processor in this time; None where it was not noted.
    """

    statuses: dict[int, int] = field(default_factory=dict)
    late: int = 0
    other: int = 0
    longest_s: float = 0.0
    busy_s: float | None = None

    def add(
        self, status: int | None, after_s: float, busy_s: float | None, usual: int | None
    ) -> None:
        """Count a run; status None where it had to be ended."""
        self.late += status is None or after_s > LATE_S
        if status is None:
            return
        self.statuses[status] = self.statuses.get(status, 0) + 1
        self.other += status != usual
        if after_s > self.longest_s:
            self.longest_s, self.busy_s = after_s, busy_s


Run = tuple[int | None, float, float | None]
"""Status, None where it had to be ended; seconds from its report to its end, and busy in these."""


def one(words: Sequence[str]) -> Run:
    """Run a command and see it end; what writes nothing but a picture has reported with that."""
    picture = next((Path(word) for word in words if word.endswith("lineup.png")), None)
    process = subprocess.Popen(
        [*START, *words], stdout=subprocess.PIPE, stderr=subprocess.STDOUT, env=environment()
    )
    assert process.stdout is not None
    pipe, said_s, patience_s, spent_s = process.stdout.fileno(), time.monotonic(), FIRST_WORD_S, 0.0
    before_s = _children_s()
    while select.select([pipe], [], [], patience_s)[0] and os.read(pipe, 1 << 16):
        said_s, patience_s, spent_s = time.monotonic(), LONGEST_S, _spent_s(process.pid)
    try:  # its output is closed when it ends
        status: int | None = process.wait(0.5)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
        status = None
    ended_s = time.monotonic()
    if picture is not None and picture.exists():
        saved_s = ended_s - (time.time() - picture.stat().st_mtime)
        return status, ended_s - max(said_s, saved_s), None  # busy when it was saved: not known
    return status, ended_s - said_s, max(0.0, _children_s() - before_s - spent_s)


def _children_s() -> float:
    """Processor time of all that this process started and that has ended."""
    spent = resource.getrusage(resource.RUSAGE_CHILDREN)
    return spent.ru_utime + spent.ru_stime


def _spent_s(pid: int) -> float:
    """Processor time of a process and of what it started, so far; in steps of 0.01 s."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    ticks = sum(int(each) for each in fields[11:15])  # utime, stime, cutime, cstime: proc(5)
    return ticks / os.sysconf("SC_CLK_TCK")


def files(folder: Path) -> list[str]:
    """Short files, each another way of ending."""
    return [
        complaining(folder / "damaged.mp4"),
        write(folder / "clean.mp4", noisy(30), preset="ultrafast"),
        write(folder / "jpegs.avi", [_full(each) for each in noisy(20)], "mjpeg"),
        _still(folder / "still.png"),
    ]


def cards(folder: Path) -> str:
    """A cap, a bracket of a grey card and a clip, a frame each."""
    shape = np.random.default_rng(3).normal(0.0, 0.6, (96, 96))
    planes = [np.clip(np.rint(code + shape), 1, 254).astype(np.uint8) for code in CARD_CODES]
    return write(folder / "cards.mkv", [planes_frame(each) for each in planes], "ffv1")


def words_of(command: str, path: str, folder: Path) -> list[str]:
    """The words that run a command on a file."""
    if command in ALONE:
        return [command, *(word.format(folder=folder) for word in ALONE[command])]
    if command not in OF_CARDS:
        return [command, path, *([path] if command == "match" else []), *TAKES[command]]
    of, last = str(folder / "cards.mkv"), len(CARD_CODES) - 1
    cap, clip = ("--cap", f"{of}#0"), ("--clip", f"{of}#{last}")
    if command == "feedcheck":  # the card from each of the files: also from one that is damaged
        return [command, *cap, "--card", path, *clip]
    steps = [f"{of}#{n}@{(n - 9) / 3.0:.3f}" for n in range(1, last)]
    return [command, *cap, *(word for each in steps for word in ("--bracket", each)), *clip]


def _full(frame: av.VideoFrame) -> av.VideoFrame:
    return frame.reformat(format="yuvj420p")


def _still(path: Path) -> str:
    context = av.CodecContext.create("png", "w")
    frame = noisy(1)[0].reformat(format="rgb24")
    context.width, context.height, context.pix_fmt = frame.width, frame.height, "rgb24"
    context.time_base = Fraction(1, 25)
    path.write_bytes(b"".join(bytes(each) for each in [*context.encode(frame), *context.encode()]))
    return str(path)


def ends(
    command: str, paths: Sequence[str], runs: int, folder: Path, kept: Path | None = None
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
            run = one(words_of(command, path, folder))
            if kept is not None and number >= 0:
                with kept.open("a") as file:
                    file.write(json.dumps([command, number, *run]) + "\n")
        if number < 0:
            usual[path] = run[0]
        else:
            out.add(*run, usual[path])
    return out


def _before(kept: Path | None) -> dict[tuple[str, int], Run]:
    """Runs of a file of them, by command and number; older ones did not note how busy they were."""
    lines = kept.read_text().splitlines() if kept is not None and kept.exists() else []
    return {
        (name, number): (status, s, busy[0] if busy else None)
        for name, number, status, s, *busy in map(json.loads, lines)
    }


def main() -> None:
    """Run and print; the status is 1 where a run was late or ended otherwise."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--runs", type=int, default=200, help="of each command")
    parser.add_argument("--command", action="append", choices=EVERY)
    parser.add_argument("--kept", type=Path, help="file of runs: a long one can be broken off")
    parser.add_argument("--files", type=int, default=4, help="how many of the files, 1 to 4")
    asked = parser.parse_args()
    found = {}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        paths = files(folder)[: asked.files]
        cards(folder)
        (folder / "unit.toml").write_text(PRESET)
        for command in asked.command or EVERY:
            found[command] = made = ends(command, paths, asked.runs, folder, asked.kept)
            if not asked.json:
                said = ", ".join(f"{n} with {status}" for status, n in made.statuses.items())
                print(
                    f"{command:12} {asked.runs} runs: {said or 'none'}; late {made.late}, "
                    f"otherwise {made.other}, longest {made.longest_s:.2f} s after the report"
                    + ("" if made.busy_s is None else f", busy in {made.busy_s:.2f} s of it"),
                    flush=True,
                )
    if asked.json:
        print(
            json.dumps(
                {
                    name: {
                        "statuses": {str(status): n for status, n in each.statuses.items()},
                        "late": each.late,
                        "other": each.other,
                        "longest_s": round(each.longest_s, 2),
                    }
                    for name, each in found.items()
                }
            )
        )
    if any(each.late or each.other for each in found.values()):
        raise SystemExit(1)


if __name__ == "__main__":
    main()
