"""Processors a frame is projected onto, and what its bytes cost there beside its instructions."""

from dataclasses import dataclass

import numba as nb
import numpy as np
import numpy.typing as npt

from overlays.signal.frame import Frame

LINE = 64
"""Bytes of a cache line on all of them (Arm 100095 and 100798, 6; of x86 from memory)."""

PICTURE, TRACE = 720 * 1280 * 4, 200 * 1280 * 4
"""Bytes that are drawn; see `ours`."""


@dataclass(frozen=True, slots=True)
class Processor:
    """One that a frame is projected onto.

    Attributes
    ----------
    name:
        As the table says it.
    cpu, triple, timed_as:
        For LLVM's compiler, and whose timings llvm-mca is to take.
    ghz:
        Clock.
    copied_gb_s:
        1e9 bytes that one core copies in a second, from and to memory; each is read and written.
    first_bytes, first_ways:
        Of the first data cache.
    line_ns:
        Until the next line comes from the second cache, several being under way.
    wrong_cycles:
        Lost by a branch that was guessed wrong: MispredictPenalty of LLVM's tables for `timed_as`
        (16 read of Cortex-A57, which LLVM takes for the A72, 9 of the A53; 11 and 14 from memory).
    step_cycles:
        From a count's load to that of the same count after one was added and stored.
    """

    name: str
    cpu: str
    triple: str
    timed_as: str
    ghz: float
    copied_gb_s: float
    first_bytes: int
    first_ways: int
    line_ns: float
    wrong_cycles: float
    step_cycles: float


BOARDS = (
    # Clock, copy and latencies as measured on a Raspberry Pi 4 B: sbc-bench, results/3OBF.txt
    # (2022-02-04, 1800 MHz, 64 bits): standard memcpy 2325.7 MB/s; dual random read in 128 KiB
    # 9.9 ns for two lines. Caches: Arm 100095 (Cortex-A72 TRM), 32 KB in two ways. A load takes
    # four cycles (LoadLatency of LLVM's table for Cortex-A57) and an addition one.
    Processor(
        "4 B, CM4",
        "cortex-a72",
        "aarch64-unknown-linux-gnu",
        "cortex-a72",
        1.8,
        2.3257,
        32 << 10,
        2,
        4.95,
        16.0,
        5.0,
    ),
    # The same of a Raspberry Pi 5: sbc-bench, results/Au3jaA.txt (2024-01-27, 2400 MHz): libc
    # memcpy 5273.2 MB/s; ramlat in 128 KiB, eight at once, 12.84 ns, of which 3.25 ns are the first
    # cache's. Caches: Arm 100798 (Cortex-A76 TRM), 64 KB in four ways. Timings of LLVM are those of
    # Neoverse N1, the same core for servers (from memory, as are its loads of four cycles).
    Processor(
        "5, CM5",
        "cortex-a76",
        "aarch64-unknown-linux-gnu",
        "neoverse-n1",
        2.4,
        5.2732,
        64 << 10,
        4,
        (12.84 - 3.25) / 8.0,
        11.0,
        5.0,
    ),
    # The same of a Raspberry Pi Zero 2: sbc-bench, results/3E85.txt (2021-11-05, 1000 MHz):
    # standard memcpy 1295.5 MB/s; dual random read in 128 KiB 15.7 ns for two lines; none waits up
    # to 32 KiB. Four ways: Arm DDI 0500 (Cortex-A53 TRM). A load takes three cycles, a wrong guess
    # nine (LoadLatency, MispredictPenalty of LLVM's AArch64SchedA53.td), an addition one.
    Processor(
        "Zero 2 W",
        "cortex-a53",
        "aarch64-unknown-linux-gnu",
        "cortex-a53",
        1.0,
        1.2955,
        32 << 10,
        4,
        7.85,
        9.0,
        4.0,
    ),
)


def moved(stage: str, frame: Frame, counts: int) -> int:
    """Bytes that a stage reads from memory or writes to it; what stays in a cache is not counted.

    Parameters
    ----------
    stage:
        See `board_code.painted`.
    frame:
        That is measured.
    counts:
        Bytes of the counts by column.
    """
    packed = frame.planes[0].strides[1] > frame.planes[0].itemsize
    planes = sum(plane.size * plane.itemsize for plane in frame.planes)
    sweeps = 2 if packed else 1  # luma and chroma each go through what holds both
    return {
        "census": sweeps * planes,
        "extremes": planes,
        "picture": planes + PICTURE,
        "trace": counts + TRACE,
        "laid over": 3 * TRACE,
    }[stage]


@nb.njit(nogil=True)
def _missed(lines: npt.NDArray[np.int64], sets: int, ways: int) -> int:
    """How many of some lines in a row are not in a cache that forgets the longest unused."""
    held = np.full((sets, ways), -1, np.int64)
    missed = 0
    for line in lines:
        here = held[line % sets]
        way = 0
        while way < ways - 1 and here[way] != line:
            way += 1
        if here[way] != line:
            missed += 1
        for k in range(way, 0, -1):
            here[k] = here[k - 1]
        here[0] = line
    return missed


@nb.njit(nogil=True)
def _chained(places: npt.NDArray[np.int64], size: int, cycles: float, step: float) -> float:
    """Cycles of additions to counts, each `cycles` after the last and `step` after the same one."""
    ready = np.zeros(size)
    now = last = 0.0
    for place in places:
        begun = max(now, ready[place])
        ready[place] = begun + step
        last = max(last, ready[place])
        now += cycles
    return max(now, last)


def places_of(frame: Frame, group: int) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """Where the census counts, in the order in which it does: by level, and by chroma.

    Eight rows together by level (`count_levels`), row by row by chroma (`count_chroma`).
    """
    depth = min(frame.signal.bits, 10)
    luma = frame.planes[0].astype(np.int64) >> frame.shift >> (frame.signal.bits - depth)
    rows = luma.shape[0] // 8 * 8
    starts = np.arange(luma.shape[1]) // group << depth
    by_level = (luma[:rows] + starts).reshape(-1, 8, luma.shape[1]).transpose(0, 2, 1)
    down = frame.shift + frame.signal.bits - 8
    cb, cr = (plane.astype(np.int64) >> down for plane in frame.planes[1:])
    return by_level.ravel(), ((cb << 8) | cr).ravel()


def counting_lines(frame: Frame, group: int, processor: Processor) -> int:
    """Lines of counts that do not stay in the first cache from one use to the next."""
    sets = processor.first_bytes // LINE // processor.first_ways
    by_level, by_chroma = places_of(frame, group)
    out = 0
    for places, size in ((by_level, 2), (by_chroma, 4)):
        out += _missed(places * size // LINE, sets, processor.first_ways)
    return out


def counting_cycles(
    frame: Frame, group: int, cycles: tuple[float, float], step: float
) -> tuple[float, float]:
    """What the two loops of the census take when an addition waits for that to the same count.

    Parameters
    ----------
    frame, group:
        That is counted; picture columns of one column of counts.
    cycles:
        Of the whole loops, by level and by chroma, when none waits.
    step:
        See `Processor.step_cycles`.
    """
    by_level, by_chroma = places_of(frame, group)
    most = int(by_level.max()) + 1
    return (
        _chained(by_level, most, cycles[0] / by_level.size, step),
        _chained(by_chroma, 1 << 16, cycles[1] / by_chroma.size, step),
    )
