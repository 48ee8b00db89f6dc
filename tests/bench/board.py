"""A frame on a board's processor, by simulation, beside this machine's own by the same method.

    python -m tests.bench.board [--json] [--keep FOLDER]

Every stage of a frame is compiled as numba would compile it on the board (`board_code`), its loops
are timed by llvm-mca for that processor and taken as often as they run on a real frame, and the
bytes that pass between caches and memory are added at the speed that was measured on a board
(`board_memory`). Nothing overlaps in this sum, so bytes are rather dear. What Python, SDL and the
kernel of the system do is not in it. The same is done for this machine and timed beside it: that
is how far such a figure may be off. Needs llvm-mca (Debian: ``apt-get install llvm-19``) and takes
some minutes.
"""

import argparse
import json
import platform
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory

import llvmlite.binding as ll
import numba as nb
import numpy as np

from tests.bench.board_blocks import Block, costs_of, mca_program, walks
from tests.bench.board_code import HOST, MODES, painted
from tests.bench.board_memory import BOARDS, Processor, counting_cycles, counting_lines, moved
from tests.bench.timing import machine, pin_to_one_core

ROOT = Path(__file__).parents[2]

FRAME = ("census", "picture", "trace", "laid over")
"""What is done with every frame; extremes are looked for a few times a second."""

ROUNDS = 200
"""Turns that everything is timed in here; the quickest counts."""

SELDOM = 2e-4
"""Share of a stage's instructions below which a walk is not worth asking llvm-mca."""

CAMERA_MODES = (("720p", 50), ("720p", 60), *(("1080p", rate) for rate in (24, 25, 30, 50, 60)))
"""The table of hardware/README.md."""

GUESSES = "branches guessed wrong"

Cycles = dict[str, dict[str, float]]
"""By "mode stage", then by function, and what branches cost that were guessed wrong."""


@dataclass(frozen=True, slots=True)
class Parts:
    """What a stage takes of one worker.

    Attributes
    ----------
    working_ms:
        Its instructions, and lines from the second cache: shared by workers.
    moving_ms:
        Bytes from and to memory, which workers have in common.
    """

    working_ms: float
    moving_ms: float

    def by(self, workers: int) -> float:
        """Milliseconds of so many workers."""
        return self.working_ms / workers + self.moving_ms


def cycles_of(folder: Path, processor: Processor, compiled_as: str) -> Cycles:
    """Compile, count, and ask llvm-mca; what was compiled stays in the folder."""
    kept, program = folder / f"{compiled_as}.json", mca_program()
    if program is None:
        raise SystemExit(
            "no llvm-mca of release 19 or later is here: apt-get install llvm-19 brings it"
        )
    if not kept.exists():
        program_of = [sys.executable, "-m", "tests.bench.board_code"]
        subprocess.run([*program_of, compiled_as, str(kept)], check=True, cwd=ROOT)
    out: Cycles = {}
    for name, found in json.loads(kept.read_text()).items():
        gone = [(f, w) for f, run in found["functions"].items() for w in walks(_read(run))]
        least = SELDOM * sum(w.times * len(w.code) for _, w in gone)
        gone = [(f, w) for f, w in gone if w.times * len(w.code) >= least]
        costs = costs_of([w for _, w in gone], processor.triple, processor.timed_as, program)
        out[name] = {GUESSES: found["wrong"] * processor.wrong_cycles}
        for (function, walk), cost in zip(gone, costs, strict=True):
            out[name][function] = out[name].get(function, 0.0) + walk.times * cost.cycles
    return out


def _read(run: list[tuple[dict[str, object], int]]) -> list[tuple[Block, int]]:
    return [
        (Block(b["name"], tuple(b["code"]), b["loop"], b["is_header"]), times) for b, times in run
    ]


def projected(mode: str, processor: Processor, cycles: Cycles) -> dict[str, Parts]:
    """What each stage of a frame takes."""
    frame, census, stages = painted(*MODES[mode])
    out = {}
    for stage in stages:
        found = cycles[f"{mode} {stage}"]
        total, lines_ns = sum(found.values()), 0.0
        if stage == "census":
            loops = tuple(_of(found, name) for name in ("count_levels", "count_chroma"))
            waiting = counting_cycles(frame, census.group, loops, processor.step_cycles)
            total += sum(waiting) - sum(loops)
            lines_ns = counting_lines(frame, census.group, processor) * processor.line_ns
        moving = moved(stage, frame, census.levels.nbytes)
        out[stage] = Parts(
            1e-6 * (total / processor.ghz + lines_ns),
            1e-6 * moving / (2.0 * processor.copied_gb_s),
        )
    return out


def _of(found: dict[str, float], name: str) -> float:
    return sum(cycles for function, cycles in found.items() if name in function)


def quickest_ms(runs: dict[str, Callable[[], object]], rounds: int) -> dict[str, float]:
    """The least that each took, in turns: what else the machine does only ever adds."""
    least = dict.fromkeys(runs, float("inf"))
    for _ in range(rounds):
        for name, run in runs.items():
            begun = time.perf_counter_ns()
            run()
            least[name] = min(least[name], (time.perf_counter_ns() - begun) / 1e6)
    return least


def loops_ms(rows: int, columns: int, bits: int) -> dict[str, float]:
    """What the stages of a frame take here, less what Python takes: that of a tiny frame."""
    large, tiny = painted(rows, columns, bits)[2], painted(16, 32, bits, is_tiny=True)[2]
    both = quickest_ms({**large, **{f"tiny {name}": run for name, run in tiny.items()}}, ROUNDS)
    return {name: both[name] - both[f"tiny {name}"] for name in large}


@nb.njit(nogil=True)
def _in_a_row(turns: int, by: np.uint64, other: np.uint64) -> np.uint64:
    """Multiplications and exclusive ors that wait for each other."""
    out = np.uint64(1)
    for _ in range(turns):
        out = (out * by) ^ other
    return out


@nb.njit(nogil=True)
def _lines(words: np.ndarray, order: np.ndarray) -> np.int64:
    """One word of each line, in an order that no machine foresees."""
    total = np.int64(0)
    for at in order:
        total += words[at]
    return total


def this_machine() -> Processor:
    """The processor at hand: its clock and the speed of its memory are timed.

    On one of the boards its own figures are taken, but for the speed of copying.
    """
    turns = 200_000
    rng = np.random.default_rng(1)
    words = np.zeros((128 << 10) // 8, np.int64)
    order = np.tile(rng.permutation(words.size // 8) * 8, 20)
    big = np.zeros(8 << 20, np.uint8), np.zeros(8 << 20, np.uint8)
    by, other = np.uint64(0x9E3779B97F4A7C15), np.uint64(0x5851F42D4C957F2D)
    took = quickest_ms(
        {
            "clock": lambda: _in_a_row(turns, by, other),
            "lines": lambda: _lines(words, order),
            "copy": lambda: np.copyto(*big),
        },
        40,
    )
    copied = big[0].nbytes / took["copy"] / 1e6
    for board in BOARDS:
        if board.cpu == ll.get_host_cpu_name():
            return replace(board, name="this machine", cpu=HOST, copied_gb_s=copied)
    if platform.machine() != "x86_64":
        raise SystemExit("how many cycles a multiplication takes on this processor is not known")
    # Three cycles of a multiplication, one of an exclusive or, on Intel's and AMD's (from memory).
    ghz = 4.0 * turns / took["clock"] / 1e6
    size, ways = _first_cache()
    line_ns = max(0.0, 1e6 * took["lines"] / order.size - 0.5 / ghz)
    return Processor(
        "this machine",
        HOST,
        ll.get_process_triple(),
        ll.get_host_cpu_name(),
        ghz,
        copied,
        size,
        ways,
        line_ns,
        14.0,
        6.0,  # a load from a store under way takes five (from memory), an addition one
    )


def _first_cache() -> tuple[int, int]:
    at = Path("/sys/devices/system/cpu/cpu0/cache/index0")
    size = int((at / "size").read_text().strip().removesuffix("K")) << 10
    return size, int((at / "ways_of_associativity").read_text())


Told = dict[str, dict[str, dict[str, Parts]]]
"""By processor, mode and stage."""


def main() -> None:
    """Project and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--keep", type=Path, help="folder for what was compiled, used again")
    asked = parser.parse_args()
    pin_to_one_core()
    here = this_machine()
    with TemporaryDirectory() as made:
        folder = asked.keep or Path(made)
        folder.mkdir(parents=True, exist_ok=True)
        told: Told = {p.name: {} for p in (here, *BOARDS)}
        for processor in (here, *BOARDS):
            cycles = cycles_of(folder, processor, processor.cpu)
            for mode in MODES:
                told[processor.name][mode] = projected(mode, processor, cycles)
    timed = {mode: loops_ms(*sizes) for mode, sizes in MODES.items()}
    if asked.json:
        print(json.dumps(as_object(here, told, timed)))
    else:
        print_all(here, told, timed)


def frame_ms(stages: dict[str, Parts], workers: int) -> float:
    """A frame's time of so many workers."""
    return sum(stages[stage].by(workers) for stage in FRAME)


def as_object(here: Processor, told: Told, timed: dict[str, dict[str, float]]) -> dict[str, object]:
    """Everything for a machine to read, milliseconds."""
    return {
        "machine": machine(),
        "ghz": round(here.ghz, 3),
        "copied_gb_s": round(here.copied_gb_s, 2),
        "projected_ms": {
            name: {
                mode: {stage: round(parts.by(1), 3) for stage, parts in stages.items()}
                | {f"frame_{n}": round(frame_ms(stages, n), 2) for n in (1, 3)}
                | {"frame_moving": round(sum(stages[stage].moving_ms for stage in FRAME), 2)}
                for mode, stages in modes.items()
            }
            for name, modes in told.items()
        },
        "measured_ms": {
            mode: {stage: round(ms, 3) for stage, ms in stages.items()}
            for mode, stages in timed.items()
        },
    }


def print_all(here: Processor, told: Told, timed: dict[str, dict[str, float]]) -> None:
    """The tables."""
    print(f"{machine()}: {here.ghz:.2f} GHz, copies {here.copied_gb_s:.1f} GB/s, as timed here")
    for mode, stages in timed.items():
        print(f"\n{mode:9s} {'measured':>9s} {'projected':>10s}  of it" + " " * 6, end="")
        print("".join(f"{p.name:>12s}" for p in BOARDS) + "   ms, one worker")
        rows = {**stages, "frame": sum(stages[stage] for stage in FRAME)}
        for stage, ms in rows.items():
            by = {
                name: frame_ms(modes[mode], 1) if stage == "frame" else modes[mode][stage].by(1)
                for name, modes in told.items()
            }
            own = by.pop(here.name)
            boards = "".join(f"{value:12.2f}" for value in by.values())
            print(f"{stage:9s} {ms:9.2f} {own:10.2f}  {own / ms:5.2f}      {boards}")
    print("\nmode      period " + "".join(f"{p.name:>10s}, 1 and 3" for p in BOARDS))
    for mode, rate in CAMERA_MODES:
        row = f"{mode}{rate:<4d} {1000 / rate:7.1f} "
        for processor in BOARDS:
            one, three = (frame_ms(told[processor.name][mode], n) for n in (1, 3))
            row += f"{one:11.1f} {three:6.1f}"
        print(row)


if __name__ == "__main__":
    main()
