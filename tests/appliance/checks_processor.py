"""Whether the emulated processor works as a real one does: else nothing is told by it of ours."""

from machine import Machine

SIZES = (9, 16, 48, 64, 128, 256, 400)
"""Of these some were sorted wrong by AVX2 as it was emulated, and the longest ended the process."""
SORT = f"""
import numpy as np

chance = np.random.default_rng(1)
for size in {SIZES}:
    for kind in (np.int64, np.float64):
        values = chance.integers(0, 50, size).astype(kind)
        order = np.argsort(values)
        what = f"{{size}} of {{kind.__name__}}"
        assert sorted(order.tolist()) == list(range(size)), f"{{what}}: not each once"
        assert (np.diff(values[order]) >= 0).all(), f"{{what}}: not in order"
"""


def sorts_right(machine: Machine) -> str:
    """Indices of whole and of real numbers come out in order, in a process of their own."""
    machine.put("/run/tests/sort.py", SORT.encode())
    machine.check("python3 /run/tests/sort.py", 180.0)
    return f"{len(SIZES)} sizes of two kinds are in order"
