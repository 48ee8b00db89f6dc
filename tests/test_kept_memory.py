import platform
import resource
import subprocess
import sys

import pytest

from tests.places import ROOT

pytestmark = pytest.mark.skipif(
    platform.libc_ver()[0] != "glibc", reason="another C library cannot be asked"
)

TIMES, BLOCKS = 20, 16
PAGES = TIMES * BLOCKS * (1 << 20) // resource.getpagesize()
"""Of all that is let go and asked for again."""


def faults():
    """Pages that the system has given this process over blocks of a megabyte, again and again."""
    before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
    for _ in range(TIMES):
        del [b"\1" * (1 << 20) for _ in range(BLOCKS)][:]
    return resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before


def in_a_child(first):
    words = f"{first}; from tests.test_kept_memory import faults; print(faults())"
    done = subprocess.run(
        [sys.executable, "-c", words], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return int(done.stdout)


def test_what_is_let_go_is_not_given_back():
    assert in_a_child("pass") > PAGES / 2
    assert in_a_child("from tests.kept_memory import keep_memory; keep_memory()") < PAGES / 5


def test_it_is_asked_for_where_tests_run():
    assert faults() < PAGES / 5
