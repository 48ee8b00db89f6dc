"""Letting LLVM's code go: the right pages, and nothing breaks."""

import numba as nb
import pytest

from firmware.health.stats import resident_bytes
from firmware.system.memory import code_spans, give_back

MAPS = """\
7f0000000000-7f0000100000 r--p 00000000 fe:00 1 /v/llvmlite/binding/libllvmlite.so
7f0000100000-7f0004100000 r-xp 00100000 fe:00 1 /v/llvmlite/binding/libllvmlite.so
7f0004100000-7f0004200000 rw-p 04100000 fe:00 1 /v/llvmlite/binding/libllvmlite.so
7f0005000000-7f0005100000 r-xp 00000000 fe:00 2 /lib/libc.so.6
7f0006000000-7f0006001000 rw-p 00000000 00:00 0
"""


def test_only_code_of_llvm_is_let_go():
    # what may have been written (r--p after relocation, rw-p) must stay
    assert code_spans(MAPS) == [(0x7F0000100000, 0x4000000)]


def test_kernels_compile_and_run_afterwards():
    @nb.njit
    def double(x):
        return 2 * x

    assert double(4) == 8
    before = resident_bytes()
    if before is None:
        pytest.skip("this system does not say how much memory is resident")
    give_back()
    assert resident_bytes() < before
    assert double(2.5) == 5.0  # compiled anew, for a float


def test_a_system_without_maps_is_left_alone(tmp_path):
    give_back(tmp_path)
