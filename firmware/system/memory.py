"""Giving memory back that only the start needed.

Compiled kernels are loaded through LLVM, whose library then sits in memory to no use: some 50 MB,
a lot on a small board. Its code pages are clean copies of a file, so they can be let go at any
time; where they are wanted again the system brings them back from its cache.
"""

import ctypes
import re
from pathlib import Path

_CODE = re.compile(r"([0-9a-f]+)-([0-9a-f]+) r-xp .*libllvmlite[^/]*$")
_DONT_NEED = 4
"""MADV_DONTNEED, see madvise(2); harmless for code, which is never written."""


def code_spans(maps: str) -> list[tuple[int, int]]:
    """(start, length) of LLVM's code in the text of ``/proc/self/maps``; bytes."""
    spans = []
    for line in maps.splitlines():
        found = _CODE.match(line)
        if found is not None:
            start, end = int(found[1], 16), int(found[2], 16)
            spans.append((start, end - start))
    return spans


def give_back(root: Path = Path("/proc")) -> None:
    """Let LLVM's code go and return freed memory to the system, where the system can do it."""
    libc = ctypes.CDLL(None)
    madvise, trim = getattr(libc, "madvise", None), getattr(libc, "malloc_trim", None)
    if trim is not None:
        trim(ctypes.c_size_t(0))
    try:
        maps = (root / "self" / "maps").read_text()
    except OSError:
        return
    if madvise is not None:
        for start, length in code_spans(maps):
            madvise(ctypes.c_void_p(start), ctypes.c_size_t(length), ctypes.c_int(_DONT_NEED))
