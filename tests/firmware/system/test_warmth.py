"""Kernels are made again, unasked, after an upgrade of what they depend on."""

import importlib.metadata
import json
import os
import sys
import time
from pathlib import Path

import pytest

from firmware.system import warmth
from firmware.system.kernel_cache import LEDGER, kernels_kept
from firmware.system.warmth import Warming, drop_strange, is_warm, made_with, note_warm

INTEL = "processor : 0\nmodel name : One Core\nflags : fpu sse2\n"
ARM = "processor : 0\nFeatures : fp asimd\nCPU implementer : 0x41\nCPU part : 0xd08\n"


@pytest.fixture
def root(tmp_path):
    (tmp_path / "proc").mkdir()
    (tmp_path / "proc/cpuinfo").write_text(INTEL)
    return tmp_path


@pytest.fixture
def environ(tmp_path):
    folder = tmp_path / "kernels"
    (folder / "counting_1").mkdir(parents=True)
    for name in ("a.nbi", "a.nbc", LEDGER):
        (folder / "counting_1" / name).write_bytes(b"\x80kernel.")
    return {"NUMBA_CACHE_DIR": str(folder)}


def kernels(environ):
    return sorted(path.name for path in folder_of(environ).iterdir())


def folder_of(environ):
    return Path(environ["NUMBA_CACHE_DIR"]) / "counting_1"


def stamp_of(environ):
    return Path(environ["NUMBA_CACHE_DIR"]) / warmth.STAMP


def test_it_is_warm_once_that_was_noted_and_not_on_another_processor(environ, root):
    assert not is_warm(environ, root)
    note_warm(environ, root)
    assert is_warm(environ, root)
    (root / "proc/cpuinfo").write_text(ARM)
    assert not is_warm(environ, root)
    assert made_with(root)["CPU part"] == "0xd08"
    (root / "proc/cpuinfo").unlink()
    assert not is_warm(environ, root)


@pytest.mark.parametrize("library", ["numba", "numpy", "llvmlite"])
def test_after_an_upgrade_no_kernel_is_believed_and_all_are_made_once(
    environ, root, monkeypatch, library
):
    note_warm(environ, root)
    assert not drop_strange(environ)
    real = importlib.metadata.version
    monkeypatch.setattr(warmth, "version", lambda name: "99" if name == library else real(name))
    assert not is_warm(environ, root)
    assert drop_strange(environ)
    assert kernels(environ) == []
    # What is made from then on is kept, also by the starts before all of it is made.
    (folder_of(environ) / "b.nbi").write_bytes(b"\x80new.")
    assert not drop_strange(environ)
    assert kernels(environ) == ["b.nbi"]


def test_kernels_of_nobody_knows_what_are_left_to_numba(environ):
    assert not drop_strange(environ)
    for content in (b"", b"\xff\x00", b"[]", b"[" * 100_000):
        stamp_of(environ).write_bytes(content)
        assert not is_warm(environ)
        assert not drop_strange(environ)
    assert len(kernels(environ)) == 3


def test_every_command_looks_before_numba_is_loaded(environ, root):
    note_warm(environ, root)
    there = json.loads(stamp_of(environ).read_text())
    stamp_of(environ).write_text(json.dumps({**there, "numpy": "1.0"}))
    with kernels_kept(environ, first=drop_strange):
        assert "a.nbi" not in kernels(environ)


def finished(warming):
    end = time.monotonic() + 30.0
    while not warming.is_warm:
        assert time.monotonic() < end
        time.sleep(0.02)


def test_they_are_made_beside_the_picture_and_only_where_there_is_need(environ, tmp_path):
    out = tmp_path / "environment"
    told = {**environ, **os.environ, **environ, "NOTIFY_SOCKET": "/x", "WATCHDOG_USEC": "1"}
    write = f"import os; open({str(out)!r}, 'w').write(repr(sorted(os.environ)))"
    warming = Warming(told, [sys.executable, "-c", write])
    assert not warming.is_warm
    warming.begin()
    finished(warming)
    # What is between systemd and the service is not handed on.
    assert "NUMBA_CACHE_DIR" in out.read_text()
    assert "NOTIFY_SOCKET" not in out.read_text()
    warming.close()
    note_warm(environ)
    out.unlink()
    again = Warming(told, [sys.executable, "-c", write])
    again.begin()
    again.close()
    assert again.is_warm
    assert not out.exists()


def test_one_that_is_not_done_ends_with_the_picture_and_none_is_no_fault(environ):
    slow = Warming(environ, [sys.executable, "-c", "import time; time.sleep(60)"])
    slow.begin()
    slow.close()
    assert slow._process is not None
    assert slow._process.poll() is not None
    assert not slow.is_warm
    for command in (["/nowhere/at/all"], [sys.executable, "-c", "raise SystemExit(3)"]):
        none = Warming(environ, command)
        none.begin()
        if none._process is not None:
            none._process.wait(30.0)
        assert not none.is_warm
        none.close()


def test_where_numba_is_told_the_processor_that_at_hand_does_not_matter(monkeypatch, tmp_path):
    (tmp_path / "proc").mkdir()
    seen = []
    for flags in ("one", "another"):
        (tmp_path / "proc/cpuinfo").write_text(f"flags : {flags}\n")
        monkeypatch.delenv("NUMBA_CPU_NAME", raising=False)
        seen.append(made_with(tmp_path))
        monkeypatch.setenv("NUMBA_CPU_NAME", "x86-64-v2")
        seen.append(made_with(tmp_path))
    assert seen[0] != seen[2]
    assert seen[1] == seen[3] != seen[0]
