"""Compiled kernels after a power cut, on a bad card and on a card that cannot be written."""

import importlib.util
import os
import stat
import sys
import tempfile
from pathlib import Path

import numba
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numba.core import config

from firmware.errors import KernelCacheError
from firmware.system.kernel_cache import (
    LEDGER,
    bring_to_card,
    drop_damaged,
    kernel_folders,
    kernels_kept,
    writable_folder,
)

SOURCE = """
import numba

@numba.njit(cache=True)
def doubled(number):
    return number * 2
"""


@pytest.fixture
def kernel(tmp_path, monkeypatch):
    """A function that loads a kernel anew, as a start does, and gives its dispatcher."""
    cache = tmp_path / "kernels"
    monkeypatch.setattr(config, "CACHE_DIR", str(cache))
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(cache))
    path = tmp_path / "toy.py"
    path.write_text(SOURCE)

    def start():
        spec = importlib.util.spec_from_file_location("toy", path)
        module = importlib.util.module_from_spec(spec)
        monkeypatch.setitem(sys.modules, "toy", module)
        spec.loader.exec_module(module)
        assert module.doubled(21) == 42
        return module.doubled

    return start


def folders():
    return kernel_folders(os.environ)


def only(suffix):
    (folder,) = folders()
    (path,) = folder.glob(f"*{suffix}")
    return path


def emptied(content):
    return content[:0]


def cut_short(content):
    return content[: len(content) // 2]


def flipped(content):
    middle = len(content) // 2
    return content[:middle] + bytes([content[middle] ^ 0x10]) + content[middle + 1 :]


def zeroed_at_its_end(content):
    return content[:-16] + bytes(16)


@pytest.mark.parametrize("suffix", [".nbi", ".nbc"])
@pytest.mark.parametrize("damage", [emptied, cut_short, flipped, zeroed_at_its_end])
def test_a_damaged_kernel_is_taken_away_and_compiled_again(kernel, suffix, damage):
    kernel()
    assert bring_to_card(folders()) == 2
    path = only(suffix)
    path.write_bytes(damage(path.read_bytes()))
    assert drop_damaged(folders()) == [path]
    again = kernel()
    assert again.stats.cache_misses  # compiled
    assert kernel().stats.cache_hits  # and kept


@pytest.mark.parametrize("damage", [emptied, cut_short, zeroed_at_its_end])
def test_damage_is_seen_before_a_kernel_was_entered(kernel, damage):
    kernel()
    path = only(".nbi")
    path.write_bytes(damage(path.read_bytes()))
    assert drop_damaged(folders()) == [path]


def test_numba_by_itself_stops_at_an_empty_index(kernel):
    # Why all this is here: should numba mend it by itself one day, this says so.
    kernel()
    only(".nbi").write_bytes(b"")
    with pytest.raises(EOFError):
        kernel()


def test_whole_kernels_stay_and_are_used(kernel):
    kernel()
    assert drop_damaged(folders()) == []
    bring_to_card(folders())
    assert drop_damaged(folders()) == []
    assert kernel().stats.cache_hits


def test_a_kernel_compiled_anew_by_somebody_else_is_no_damage(kernel):
    kernel()
    bring_to_card(folders())
    path = only(".nbc")
    other = path.with_suffix(".new")
    other.write_bytes(path.read_bytes().replace(b"doubled", b"Doubled"))
    other.replace(path)
    assert drop_damaged(folders()) == []


def test_only_what_is_new_is_entered(kernel):
    kernel()
    bring_to_card(folders())
    ledger = folders()[0] / LEDGER
    before = ledger.stat().st_mtime_ns
    assert bring_to_card(folders()) == 0
    assert ledger.stat().st_mtime_ns == before
    only(".nbc").unlink()
    assert bring_to_card(folders()) == 0
    assert ".nbc" not in ledger.read_text()


@given(st.binary(max_size=300))
def test_any_ledger_can_be_read(tmp_path_factory, content):
    folder = tmp_path_factory.mktemp("kernels")
    (folder / LEDGER).write_bytes(content)
    (folder / "a.nbi").write_bytes(b"\x80.")
    assert drop_damaged([folder]) == []
    assert bring_to_card([folder]) == 1


def test_a_start_keeps_kernels_whole(kernel):
    kernel()
    damaged = only(".nbi")
    damaged.write_bytes(b"")
    with kernels_kept(os.environ):
        assert not damaged.exists()
        kernel()
    assert "toy.doubled" in (damaged.parent / LEDGER).read_text()


def test_kernels_beside_the_code_and_in_the_users_cache(tmp_path):
    code, home = tmp_path / "code", tmp_path / "home"
    beside = code / "overlays" / "measure" / "spot" / "__pycache__"
    ours = home / ".cache" / "numba" / "spot_0123"
    for folder in (beside, ours, home / ".cache" / "numba" / "somebody_else_0123"):
        folder.mkdir(parents=True)
    assert kernel_folders({"HOME": str(home)}, code) == [beside, ours]
    assert kernel_folders({"XDG_CACHE_HOME": str(home / ".cache")}, code) == [beside, ours]


def test_the_folder_of_ones_choice(tmp_path):
    wanted = tmp_path / "a" / "b"
    assert writable_folder({"NUMBA_CACHE_DIR": str(wanted)}) == wanted
    (tmp_path / "file").write_text("")
    assert writable_folder({"NUMBA_CACHE_DIR": str(tmp_path / "file")}) is None


def test_beside_the_code_else_at_home(tmp_path):
    code = tmp_path / "code"
    (code / "overlays" / "measure").mkdir(parents=True)
    beside = code / "overlays" / "measure" / "__pycache__"
    assert writable_folder({"HOME": str(tmp_path)}, code) == beside
    beside.write_text("no folder")
    assert writable_folder({"HOME": str(tmp_path)}, code) == tmp_path / ".cache" / "numba"


def test_a_card_that_cannot_be_written_is_read_into_memory(kernel, tmp_path, monkeypatch):
    kernel()
    card = Path(os.environ["NUMBA_CACHE_DIR"])
    # Root may write wherever there is a folder, so the refusal of a read-only card is told here.
    real = os.access
    monkeypatch.setattr(os, "access", lambda path, mode: Path(path) != card and real(path, mode))
    environ = {"NUMBA_CACHE_DIR": str(card), "XDG_RUNTIME_DIR": str(tmp_path)}
    with kernels_kept(environ):
        memory = Path(environ["NUMBA_CACHE_DIR"])
        assert memory.parent == tmp_path
        assert stat.S_IMODE(memory.stat().st_mode) == 0o700
        monkeypatch.setattr(config, "CACHE_DIR", str(memory))
        assert kernel().stats.cache_hits
    assert not memory.exists()


def test_nowhere_at_all_is_one_sentence(tmp_path, monkeypatch):
    monkeypatch.setattr(os, "access", lambda *_: False)
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "missing"))
    with pytest.raises(KernelCacheError, match="set NUMBA_CACHE_DIR"), kernels_kept({}, tmp_path):
        pass


def test_numba_writes_what_is_expected_of_its_files(kernel):
    # The first and last byte that whole files are known by.
    assert numba.__version__
    kernel()
    for suffix in (".nbi", ".nbc"):
        content = only(suffix).read_bytes()
        assert (content[0], content[-1:]) == (0x80, b".")
