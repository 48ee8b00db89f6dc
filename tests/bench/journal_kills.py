"""Kills a process that marks, at random moments, and looks whether what it acknowledged is there.

``python -m tests.bench.journal_kills --kills 300`` prints how often it was killed, in what state
the file was found, and how many acknowledged marks there were. What a killed process leaves is what
the kernel had of it; what a power cut leaves is for the virtual board (`tests/appliance`).
"""

import argparse
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from firmware.journal.row import ClockTrust, JournalRow, RowKind, Stamp
from firmware.journal.store import Store
from firmware.journal.store_reader import StoreReader

ROOT = Path(__file__).resolve().parents[2]
MOST_S = 0.25
"""Longest life of a process after its first mark: some ten marks."""


@dataclass(frozen=True, slots=True)
class Tally:
    """What came of it: kills, marks that were acknowledged, and those found half written."""

    kills: int
    acknowledged: int
    unfinished: int


def marks_for_ever(path: Path, row: JournalRow) -> Iterator[int]:
    """Numbers of marks, each once it is acknowledged."""
    store = Store(path)
    while True:
        yield store.append(row).number


def kill(path: Path, after_s: float) -> int:
    """Let a process mark and kill it; the last number that it acknowledged."""
    words = [sys.executable, "-m", "tests.bench.journal_kills", "--mark", str(path)]
    with subprocess.Popen(words, stdout=subprocess.PIPE, cwd=ROOT) as process:
        assert process.stdout is not None
        first = process.stdout.readline()
        time.sleep(after_s)
        process.kill()
        # A line that is not whole was not read by anybody as an acknowledgement.
        said = (first + process.stdout.read()).rpartition(b"\n")[0]
    return int(said.split()[-1])


def run(path: Path, kills: int, seed: int) -> Tally:
    """Kill so often; what is not as it should be raises."""
    random_of = random.Random(seed)
    acknowledged = unfinished = 0
    for number in range(kills):
        told = kill(path, random_of.uniform(0.0, MOST_S))
        unfinished += path.with_name(f"{path.name}-journal").exists()
        with StoreReader(path) as file:
            numbers = [row.number for row in file.heads()]
            faults = file.faults()
        assert faults == [], faults
        assert numbers == list(range(1, len(numbers) + 1))
        assert told in numbers, f"kill {number}: mark {told} was acknowledged and is not there"
        acknowledged = told
    # Not for the process that is killed, which is to begin soon.
    from firmware.journal.verify import verify

    with StoreReader(path) as file:
        verdict = verify(file)
    assert verdict.faults == (), verdict.faults
    return Tally(kills, acknowledged, unfinished)


def small_row() -> JournalRow:
    """A row without what takes kernels: what is tested is the file."""
    return JournalRow(
        RowKind.EVENT,
        Stamp("a", 1, 2.0, ClockTrust.OWN),
        {"words": "x"},
        {},
        {"codes": bytes(60_000)},
    )


def main() -> None:
    """Print the counts."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--kills", type=int, default=300)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--mark", type=Path)
    found = asked.parse_args()
    if found.mark is not None:
        for number in marks_for_ever(found.mark, small_row()):
            print(number, flush=True)
    from tests.marked import mark

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "journal.db"
        store = Store(path)
        store.append(mark())  # one whole mark among them, to be recomputed at the end
        store.close()
        tally = run(path, found.kills, found.seed)
    print(
        f"{tally.kills} kills, {tally.unfinished} of them within a write; the last acknowledged "
        f"mark was {tally.acknowledged}; every one is there, whole and sealed"
    )


if __name__ == "__main__":
    main()
