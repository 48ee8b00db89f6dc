"""Assembly that LLVM printed with its comments, as blocks; and what llvm-mca says of them."""

import re
import shutil
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass

MCA = ("llvm-mca-19", "llvm-mca-20", "llvm-mca-18", "llvm-mca")
"""Names that Debian gives the program, the release first whose tables were looked at."""
SKIPS = "-skip-unsupported-instructions"
"""Of releases since 19; Debian bookworm's own is older."""

_FUNCTION = re.compile(r"([\w.$]+):\s+(?://|#) @(\S+)")
_LABEL = re.compile(r"\.LBB\d+_(\d+):(?:\s+(?://|#) (.*))?$")
_FALL = re.compile(r"(?://|#) %bb\.(\d+):(?:\s+(?://|#) (.*))?$")
_HEADER = re.compile(r"(?://|#)?\s*=>\s*This (?:Inner )?Loop Header")
_INSIDE = re.compile(r"in Loop: Header=BB\d+_(\d+)")
_REGION = re.compile(r"\[\d+\] Code Region - (\S+)")


@dataclass(frozen=True, slots=True)
class Block:
    """A piece of a function that is run from its first instruction to its last.

    Attributes
    ----------
    name:
        Of the block in LLVM's intermediate code that it was made from; "" is the entry. None where
        LLVM says none: made late, for an edge between two blocks.
    code:
        Its instructions, a line each.
    loop:
        Number of the block that begins the innermost loop around it; None outside of loops.
    is_header:
        Whether it is that block itself.
    """

    name: str | None
    code: tuple[str, ...]
    loop: int | None = None
    is_header: bool = False


def blocks_of(assembly: str) -> dict[str, list[Block]]:
    """The blocks of each function of a module.

    Parameters
    ----------
    assembly:
        As LLVM prints it for x86-64 or AArch64 on ELF, with comments.

    Returns
    -------
    dict
        By the function's name, in the order in which they stand.
    """
    out: dict[str, list[Block]] = {}
    here: list[Block] | None = None
    name: str | None = ""
    number, loop, code = 0, _NO_LOOP, list[str]()
    for line in [*assembly.splitlines(), ".Lfunc_end"]:
        bare = line.strip()
        function, label = _FUNCTION.match(line), _LABEL.match(bare) or _FALL.match(bare)
        if function or label or bare.startswith(".Lfunc_end"):
            if here is not None and code:
                here.append(Block(name, tuple(code), *loop))
            code, loop = [], _NO_LOOP
        if function:
            here, name, number = out.setdefault(function[2].strip('"'), []), "", 0
        elif label:
            number = int(label[1])
            name = _named(label[2], number)
            loop = _loop_of(bare, number) or loop
        elif bare[:1] in {"#", "/"}:
            loop = _loop_of(bare, number) or loop
        elif bare.startswith(".Lfunc_end"):
            here = None
        elif bare and bare[0] != "." and not bare.endswith(":"):
            code.append(re.sub(r"\s+(//|#) .*$", "", bare))
    return out


_NO_LOOP: tuple[int | None, bool] = (None, False)


def _loop_of(comment: str, number: int) -> tuple[int | None, bool] | None:
    """The loop that a comment of block `number` tells of, and whether it begins there."""
    if _HEADER.search(comment):
        return number, True
    inside = _INSIDE.search(comment)
    return (int(inside[1]), False) if inside else None


def _named(comment: str | None, number: int) -> str | None:
    if comment and (match := re.match(r"%(\"[^\"]*\"|[^\s,]+)", comment)):
        return match[1].strip('"')
    return "" if number == 0 else None


@dataclass(frozen=True, slots=True)
class Walk:
    """A way through a loop, or a block outside of any, and how often it is gone.

    Attributes
    ----------
    code:
        Instructions in the order in which they are run.
    times:
        How often.
    """

    code: tuple[str, ...]
    times: float


TURNS = 16
"""Turns of a loop with several ways through it that are laid out for llvm-mca."""


def walks(run: Sequence[tuple[Block, int]]) -> list[Walk]:
    """The ways through a function that was run.

    Blocks of one loop follow each other as they stand, each in as many of the turns as it was run
    in, spread evenly: which turns these are is not counted. A block without a name, whose runs are
    not counted, is left out.

    Parameters
    ----------
    run:
        Blocks of one function in their order, and how often each was run.

    Returns
    -------
    list of Walk
        Together every counted run of every block.
    """
    loops: dict[int, list[tuple[Block, int]]] = {}
    out = []
    for block, times in run:
        if block.name is None or times == 0:
            continue
        if block.loop is None:
            out.append(Walk(block.code, times))
        else:
            loops.setdefault(block.loop, []).append((block, times))
    for parts in loops.values():
        turns = max((times for block, times in parts if block.is_header), default=0)
        if len(parts) == 1 or turns == 0:
            out += [Walk(block.code, times) for block, times in parts]
            continue
        code: list[str] = []
        for turn in range(TURNS):
            for block, times in parts:
                share = times / turns
                code += block.code * (int((turn + 1) * share) - int(turn * share))
        out.append(Walk(tuple(code), turns / TURNS))
        # Blocks too seldom to be in sixteen turns are gone on their own.
        rare = [(b, n) for b, n in parts if int(TURNS * n / turns) == 0]
        out += [Walk(block.code, times) for block, times in rare]
    return out


def mca_program() -> str | None:
    """The path of llvm-mca; None where there is none, or only one too old to pass over a walk."""
    return next((found for name in MCA if (found := shutil.which(name)) and _passes(found)), None)


def _passes(program: str) -> bool:
    """Whether it can go on behind instructions that it has no table for."""
    said = subprocess.run([program, "--help"], capture_output=True, text=True, check=False)
    return SKIPS in said.stdout


@dataclass(frozen=True, slots=True)
class Cost:
    """What llvm-mca says of a walk that is gone again and again.

    Attributes
    ----------
    cycles:
        Of one of them, in the long run.
    instructions:
        In it.
    """

    cycles: float
    instructions: int


def costs_of(walks: Sequence[Walk], triple: str, cpu: str, program: str) -> list[Cost]:
    """What llvm-mca says of each walk, gone again and again."""
    text = "".join(
        f"# LLVM-MCA-BEGIN b{number}\n" + "\n".join(walk.code) + f"\n# LLVM-MCA-END b{number}\n"
        for number, walk in enumerate(walks)
    )
    command = [program, f"-mtriple={triple}", f"-mcpu={cpu}", "-iterations=100"]
    # Atomics of reference counts have no timing in some tables; no loop over pixels has any.
    command += ["-resource-pressure=false", "-instruction-info=false"]
    command += [f"{SKIPS}=lack-sched"]
    done = subprocess.run(command, input=text, capture_output=True, text=True, check=False)
    found = told(done.stdout)
    missing = [n for n in range(len(walks)) if f"b{n}" not in found]
    if missing:
        raise SystemExit(f"llvm-mca says nothing of {len(missing)} walks: {done.stderr[:600]}")
    return [found[f"b{number}"] for number in range(len(walks))]


def told(printed: str) -> dict[str, Cost]:
    """What llvm-mca printed, by the region's name.

    Parameters
    ----------
    printed:
        Its summary views.

    Returns
    -------
    dict
        Of those regions that are printed whole.
    """
    out: dict[str, Cost] = {}
    for region in printed.split("\n[")[0:]:
        match = _REGION.search("[" + region if not region.startswith("[") else region)
        if match is None:
            continue
        figures = dict(
            re.findall(r"^(Iterations|Instructions|Total Cycles):\s+(\d+)", region, re.MULTILINE)
        )
        if len(figures) == 3:
            turns = int(figures["Iterations"])
            instructions = int(figures["Instructions"]) // turns
            out[match[1]] = Cost(int(figures["Total Cycles"]) / turns, instructions)
    return out
