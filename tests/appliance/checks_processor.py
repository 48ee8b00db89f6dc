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

COMPILED = """
import llvmlite.binding as llvm

has = llvm.get_host_cpu_features()
wants = {"vaes": "avx2", "vpclmulqdq": "avx", "avx2": "avx", "fma": "avx", "f16c": "avx"}
wrong = [f"{name} without {needs}" for name, needs in wants.items()
         if has.get(name) and not has.get(needs)]
assert not wrong, f"a compiler takes it to have what it has not: {wrong}"
"""
"""What LLVM takes for granted of a processor that has something else."""


def works_right(machine: Machine) -> str:
    """Nothing has a compiler use what is not there; indices of numbers come out in order."""
    machine.put("/run/tests/compiled.py", COMPILED.encode())
    machine.check("python3 /run/tests/compiled.py", 180.0)
    machine.put("/run/tests/sort.py", SORT.encode())
    machine.check("python3 /run/tests/sort.py", 180.0)
    return f"{len(SIZES)} sizes of two kinds are in order"
