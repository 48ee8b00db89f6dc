"""Kernels as a board's compiler makes them, and how often each piece of them is run for a frame.

numba is given the target machine of another processor while its own pipeline goes on as ever: the
same passes of the same LLVM, in the same order, with that processor's widths and costs. What comes
out is printed as that processor's assembly. The very same optimised code, still in LLVM's own
terms, is then given a counter at the start of each of its blocks and run here, on a real frame: so
the lengths of loops and the ways through branches are counted, not guessed.

    python -m tests.bench.board_code cortex-a72 FILE

writes to FILE, as JSON, the blocks of each stage of each mode with their counts.
"""

import argparse
import json
import re
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import llvmlite.binding as ll
import numpy as np
from numba.core.codegen import JITCPUCodegen
from numba.core.dispatcher import Dispatcher

from tests.bench.board_blocks import Block, blocks_of

if TYPE_CHECKING:
    from overlays.measure.counting.census import Census
    from overlays.signal.frame import Frame

AARCH64 = "aarch64-unknown-linux-gnu"
HOST = "host"
MODES = {"720p": (720, 1280, 8), "1080p": (1080, 1920, 8), "1080p10": (1080, 1920, 10)}
"""Rows, columns and bits of a sample: UYVY, and planar 4:2:2 at ten bits."""
MOST_BLOCKS = 1 << 17
"""Room for counters; more than all kernels of a frame have."""

_DEFINE = re.compile(r"define .*?@(\"[^\"]+\"|[\w.$]+)\(")
_LABEL = re.compile(r"(\"[^\"]+\"|[\w.$-]+):")
_BRANCH = re.compile(r"\s+br i1 (\S+), label ")
_PHI = re.compile(r"\s+%(?:\"[^\"]+\"|[\w.$-]+) = phi ")


def counted(text: str, first: int, base: int, guesses: int) -> tuple[str, list[tuple[str, str]]]:
    """LLVM's code of a module with a counter in each block, and a guess before each branch.

    Parameters
    ----------
    text:
        Of the module.
    first:
        Number of the first counter.
    base:
        Address of counter 0; each has 64 bits.
    guesses:
        Address of what `_GUESSING` needs.

    Returns
    -------
    tuple
        The text, and function and block of each counter. A block without a name is "".
    """
    out: list[str] = []
    names: list[tuple[str, str]] = []
    function, waiting = "", False
    for line in text.splitlines():
        if match := _DEFINE.match(line):
            function, waiting = match[1].strip('"'), True
            names.append((function, ""))
        elif function and (match := _LABEL.match(line)):
            if waiting:  # the entry has a name after all
                names.pop()
            names.append((function, match[1].strip('"')))
            waiting = True
        elif line == "}":
            function = ""
        elif function and waiting and line.strip() and not _PHI.match(line):
            out += _counter(first + len(names) - 1, base)
            waiting = False
        if function and (match := _BRANCH.match(line)):
            number = first + len(names) - 1
            out.append(f"  call void @branch.noted(i64 {number * 40503}, i1 {match[1]})")
        out.append(line)
    words = {"HISTORY": 0, "WRONG": 8, "TABLE": 16}
    addresses = {w: f"inttoptr (i64 {guesses + at} to ptr)" for w, at in words.items()}
    return "\n".join(out) + _GUESSING.format(**addresses), names


_GUESSING = """
define internal void @branch.noted(i64 %which, i1 %taken) noinline {{
  %history = load i64, ptr {HISTORY}, align 8
  %mixed = xor i64 %history, %which
  %place = and i64 %mixed, 65535
  %at = getelementptr i8, ptr {TABLE}, i64 %place
  %state = load i8, ptr %at, align 1
  %guess = icmp ugt i8 %state, 1
  %off = xor i1 %guess, %taken
  %one = zext i1 %off to i64
  %before = load i64, ptr {WRONG}, align 8
  %after = add i64 %before, %one
  store i64 %after, ptr {WRONG}, align 8
  %up = add i8 %state, 1
  %top = icmp ugt i8 %up, 3
  %higher = select i1 %top, i8 3, i8 %up
  %bottom = icmp eq i8 %state, 0
  %down = sub i8 %state, 1
  %lower = select i1 %bottom, i8 0, i8 %down
  %next = select i1 %taken, i8 %higher, i8 %lower
  store i8 %next, ptr %at, align 1
  %bit = zext i1 %taken to i64
  %shifted = shl i64 %history, 1
  %longer = or i64 %shifted, %bit
  %kept = and i64 %longer, 4095
  store i64 %kept, ptr {HISTORY}, align 8
  ret void
}}
"""
"""A branch predictor: two bits for each of 65 536 mixtures of the branch and the last twelve ways
taken (gshare: McFarling, Combining Branch Predictors, DEC WRL TN-36, 1993). Those of today's
processors guess better; so what it gets wrong is rather too much."""


def _counter(number: int, base: int) -> list[str]:
    at, name = f"ptr inttoptr (i64 {base + 8 * number} to ptr)", f"%counter.{number}"
    return [
        f"  {name}.before = load i64, {at}, align 8",
        f"  {name}.after = add i64 {name}.before, 1",
        f"  store i64 {name}.after, {at}, align 8",
    ]


class Compiled:
    """Everything that numba compiles from `begin` on, with its counters."""

    def __init__(self, cpu: str) -> None:
        self.cpu = cpu
        self.counts = np.zeros(MOST_BLOCKS, np.int64)
        self.guesses = np.zeros(2 + (1 << 13), np.int64)
        self.names: list[tuple[str, str]] = []
        self.blocks: dict[str, list[Block]] = {}

    def begin(self) -> None:
        """Compile for the other processor, and count what is run here, from now on."""
        seen, begun, made = self, JITCPUCodegen._init, JITCPUCodegen._create_empty_module
        host: dict[str, str] = {}

        def init(self: Any, module: Any) -> None:
            begun(self, module)
            host.update(triple=ll.get_process_triple(), datalayout=self._data_layout)
            if seen.cpu != HOST:
                self._tm = ll.Target.from_triple(AARCH64).create_target_machine(
                    cpu=seen.cpu, opt=3, reloc="default", codemodel="jitdefault", jit=True
                )
                self._data_layout = str(self._tm.target_data)
            self._tm.set_asm_verbosity(True)

        def empty(self: Any, name: str) -> Any:
            module = made(self, name)
            if hasattr(self, "_tm"):
                module.triple = self._tm.triple
            return module

        def add(self: Any, module: Any) -> None:
            seen.keep(self._tm.emit_assembly(module.clone()))
            text, names = counted(
                str(module), len(seen.names), seen.counts.ctypes.data, seen.guesses.ctypes.data
            )
            seen.names += names
            if len(seen.names) > MOST_BLOCKS:
                raise SystemExit(f"more than {MOST_BLOCKS} blocks: there is no room to count them")
            for key, value in host.items():
                text = re.sub(rf'target {key} = ".*"', f'target {key} = "{value}"', text)
            self._engine.add_module(ll.parse_assembly(text))

        Dispatcher.enable_caching = lambda _: None  # nothing of this is for another run
        JITCPUCodegen._init = init
        JITCPUCodegen._create_empty_module = empty
        JITCPUCodegen._add_module = add

    def keep(self, assembly: str) -> None:
        """Note the blocks of a module; a function that several modules hold is kept once."""
        for function, blocks in blocks_of(assembly).items():
            self.blocks.setdefault(function, blocks)

    def run(self, work: Callable[[], object]) -> tuple[dict[str, list[tuple[Block, int]]], int]:
        """Blocks run by some work and how often, by function; branches that were guessed wrong."""
        self.counts[:], self.guesses[1] = 0, 0
        work()
        often: dict[tuple[str, str], int] = {}
        for number, name in enumerate(self.names):
            often[name] = often.get(name, 0) + int(self.counts[number])
        out = {}
        for function, blocks in self.blocks.items():
            run = [(b, often.get((function, b.name or ""), 0)) for b in blocks]
            if any(count for _, count in run):
                out[function] = run
        return out, int(self.guesses[1])


Stages = dict[str, Callable[[], object]]


def painted(
    rows: int, columns: int, bits: int, *, is_tiny: bool = False
) -> "tuple[Frame, Census, Stages]":
    """A frame, its census, and the stages of what is done with it; drawn tiny, if asked for."""
    from overlays.draw.trace.trace import lay_over
    from overlays.measure.range.range import read_range
    from tests.bench.frames import (
        frame_from_uyvy,
        ring_of,
        ring_of_uyvy,
    )  # once compiling has begun
    from tests.bench.ours import Painter

    if bits == 8:
        frame = frame_from_uyvy(ring_of_uyvy(rows, columns)[0])
    else:
        frame = ring_of("yuv422-10", rows, columns)[0]
    us = Painter(frame.signal)
    if is_tiny:
        us.picture, us.trace = us.picture[:4, :32].copy(), us.trace[:, :32].copy()
    us.whole(frame)
    census = us.census
    assert census is not None
    return (
        frame,
        census,
        {
            "census": lambda: us.count(frame),
            "extremes": lambda: read_range(frame, us.yard, census),
            "picture": lambda: us.paint(frame),
            "trace": us.paint_trace,
            "laid over": lambda: lay_over(
                us.trace[: len(us.picture)], us.picture[-len(us.trace) :]
            ),
        },
    )


def main() -> None:
    """Compile, run, write."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("cpu")
    parser.add_argument("file", type=Path)
    asked = parser.parse_args()
    ll.initialize_all_targets()
    ll.initialize_all_asmprinters()
    compiled = Compiled(asked.cpu)
    compiled.begin()
    out = {}
    for mode, sizes in MODES.items():
        for stage, work in painted(*sizes)[2].items():
            work()
            run, wrong = compiled.run(work)
            functions = {f: [(asdict(block), n) for block, n in each] for f, each in run.items()}
            out[f"{mode} {stage}"] = {"functions": functions, "wrong": wrong}
    asked.file.write_text(json.dumps(out))


if __name__ == "__main__":
    main()
