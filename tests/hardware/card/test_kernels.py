"""Kernels made beforehand: laid where numba looks, and only those of this very code."""

import json
import subprocess
import sys
import tempfile
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from numba.core.caching import UserProvidedCacheLocator

from firmware.system.kernel_cache import LEDGER
from firmware.system.warmth import STAMP
from hardware.card import kernels, release, wheels
from hardware.card.lock import read_lock
from tests.hardware.card import made
from tests.places import ROOT

COUNTS = "overlays/measure/counting/kernels.py"
WANTED = kernels.MadeFor("cortex-a72", "12ab", {COUNTS: "1", "overlays/draw/picture.py": "2"}, "c")
SOURCE = """
import sys
import numba

@numba.njit(cache=True)
def doubled(x):
    return 2 * x

doubled(3)
print(sum(doubled.stats.cache_hits.values()), sum(doubled.stats.cache_misses.values()))
"""


@pytest.fixture
def kept(tmp_path):
    """Kernels as they are kept."""
    folder = tmp_path / "kept"
    for name in ("measure/counting/kernels.count-1", "draw/picture.draw-2", "draw/other.draw-3"):
        place = folder / f"overlays/{name}"
        place.parent.mkdir(parents=True, mode=0o700, exist_ok=True)
        for ending in (".nbi", ".1.nbc"):
            path = place.with_name(f"{place.name}.py313{ending}")
            path.write_bytes(b"k")
            path.chmod(0o600)
    (folder / STAMP).write_text('{"numba": "0.1", "midgrey": "0.0.1"}')
    kernels.write_note(folder, WANTED)
    return folder


def test_they_are_laid_out_with_modes_that_everybody_may_read(kept, tmp_path):
    assert kernels.lay(kept, tmp_path / "tree", "1.0.0", WANTED)
    place = tmp_path / "tree/var/cache/midgrey/kernels/1.0.0"
    source = Path("/opt/midgrey/releases/1.0.0/venv/lib/python3.13/site-packages/overlays")
    inside = place / kernels.folder_of(source / "measure/counting")
    assert inside.stat().st_mode & 0o777 == 0o755
    names = sorted(path.name for path in inside.iterdir())
    assert names == ["kernels.count-1.py313.1.nbc", "kernels.count-1.py313.nbi"]
    assert all(path.stat().st_mode & 0o777 == 0o644 for path in inside.iterdir())
    assert (place / STAMP).stat().st_mode & 0o777 == 0o644
    # Of a module that has none now nothing is laid.
    assert not list(place.rglob("other.*"))


def test_the_unit_is_told_that_they_are_of_its_own_version(kept, tmp_path):
    """So it compares (`warmth.is_warm`); they stay when the number is all that changes."""
    kernels.lay(kept, tmp_path / "tree", "1.0.0", WANTED)
    said = json.loads((tmp_path / "tree/var/cache/midgrey/kernels/1.0.0" / STAMP).read_text())
    assert said == {"numba": "0.1", "midgrey": release.number()}


def test_where_some_may_be_missing_the_unit_is_told_nothing_and_looks(kept, tmp_path):
    others = replace(WANTED, callers="others")
    assert not kernels.lay(kept, tmp_path / "tree", "1.0.0", others)
    place = tmp_path / "tree/var/cache/midgrey/kernels/1.0.0"
    assert len(list(place.rglob("*.nbi"))) == 2
    assert not (place / STAMP).exists()


@pytest.mark.parametrize("damage", ["", "[]", "{", '"words"'])
def test_nor_where_the_word_that_lies_beside_them_is_damaged(kept, tmp_path, damage):
    (kept / STAMP).write_text(damage)
    assert not kernels.lay(kept, tmp_path / "tree", "1.0.0", WANTED)
    assert not (tmp_path / "tree/var/cache/midgrey/kernels/1.0.0" / STAMP).exists()


def test_only_those_that_still_hold_are_lent(kept, tmp_path):
    stale = replace(WANTED, loops={**WANTED.loops, COUNTS: "other"})
    kernels.lend(kept, tmp_path, "2.0.0", stale)
    place = tmp_path / kernels.PLACE / "2.0.0"
    assert sorted(path.name for path in place.rglob("*.nbi")) == ["picture.draw-2.py313.nbi"]
    assert not (place / STAMP).exists()


@pytest.mark.parametrize("name", ["processor", "libraries"])
def test_none_of_another_processor_or_other_libraries_is_lent(kept, tmp_path, name):
    kernels.lend(kept, tmp_path, "2.0.0", replace(WANTED, **{name: "other"}))
    assert not list(tmp_path.joinpath(kernels.PLACE).rglob("*.nbi"))


def test_a_folder_is_called_what_numba_calls_it(tmp_path, monkeypatch):
    monkeypatch.setattr("numba.core.config.CACHE_DIR", str(tmp_path))
    source = kernels.site_of("1.2.3-12345678") / "overlays/draw/picture/picture.py"
    place = UserProvidedCacheLocator(kernels.lay, str(source)).get_cache_path()
    assert Path(place) == tmp_path / kernels.folder_of(source.parent)


def test_what_was_made_in_one_version_is_loaded_in_another(tmp_path, monkeypatch):
    """By numba itself: the sources are the same, and lie elsewhere."""
    monkeypatch.setattr(kernels, "site_of", lambda version: tmp_path / version)
    repo, said = tmp_path / "repo", {}
    (repo / "overlays").mkdir(parents=True)
    (repo / "firmware").mkdir()

    def run(version):
        source = tmp_path / version / "overlays"
        source.mkdir(parents=True)
        (source / "twice.py").write_text(SOURCE)
        environ = {"PATH": "/usr/bin", "NUMBA_CACHE_DIR": str(tmp_path / "cache" / version)}
        command = [sys.executable, str(source / "twice.py")]
        done = subprocess.run(command, env=environ, capture_output=True, text=True, check=True)
        said[version] = done.stdout.split()

    run("one")
    assert kernels.keep(tmp_path / "cache/one", "one", tmp_path / "kept", repo) == 1
    wanted = kernels.MadeFor("any", "any", {"overlays/twice.py": "1"}, "any")
    kernels.write_note(tmp_path / "kept", wanted)
    monkeypatch.setattr(kernels, "PLACE", Path("cache"))
    kernels.lay(tmp_path / "kept", tmp_path, "two", wanted)
    run("two")
    assert said == {"one": ["0", "1"], "two": ["1", "0"]}


def test_a_ledger_is_not_kept_since_it_knows_files_by_their_place(tmp_path):
    source = kernels.site_of("1") / "overlays/measure/counting"
    place = tmp_path / "made" / kernels.folder_of(source)
    place.mkdir(parents=True)
    for name in ("k.nbi", "k.1.nbc", LEDGER):
        (place / name).write_text("k")
    (tmp_path / "made" / STAMP).write_text("{}")
    assert kernels.keep(tmp_path / "made", "1", tmp_path / "kept") == 1
    kept = [path for path in (tmp_path / "kept").rglob("*") if path.is_file()]
    assert sorted(path.name for path in kept) == ["k.1.nbc", "k.nbi", STAMP]


@pytest.mark.parametrize(
    ("other", "laid"),
    [
        ({"processor": "cortex-a53"}, []),
        ({"libraries": "34cd"}, []),
        ({"loops": {**WANTED.loops, COUNTS: "9"}}, ["picture.draw-2.py313.nbi"]),
        ({"loops": {**WANTED.loops, "new.py": "1"}}, None),
    ],
)
def test_those_of_other_code_are_left_out_and_the_unit_looks(kept, tmp_path, other, laid):
    every = ["kernels.count-1.py313.nbi", "picture.draw-2.py313.nbi"]
    assert not kernels.lay(kept, tmp_path, "1.0.0", replace(WANTED, **other))
    place = tmp_path / kernels.PLACE
    assert sorted(path.name for path in place.rglob("*.nbi")) == (every if laid is None else laid)
    assert not list(place.rglob(STAMP))


def test_a_note_is_read_as_it_was_written(kept):
    assert kernels.note_in(kept) == WANTED


@given(st.text() | st.recursive(st.none() | st.integers(), st.lists))
def test_a_note_that_says_anything_else_is_none(said):
    with tempfile.TemporaryDirectory() as made:
        text = said if isinstance(said, str) else json.dumps({"loops": said})
        (Path(made) / kernels.NOTE).write_text(text, "utf-8")
        assert kernels.note_in(Path(made)) is None


def test_of_a_folder_without_any_nothing_is_laid(tmp_path):
    assert not kernels.lay(tmp_path, tmp_path / "t", "1", WANTED)
    assert not (tmp_path / "t").exists()


def test_what_compiles_them_counts_and_no_other_library(tmp_path):
    lock = made.wheels(tmp_path / "wheels")
    chosen = wheels.choose(read_lock(lock), tmp_path / "wheels")
    numba = replace(chosen[0], name="numba")
    found = kernels.made_for([numba], "cortex-a72")
    assert found == kernels.made_for([numba, replace(chosen[0], name="rich")], "cortex-a72")
    other = kernels.made_for([replace(numba, sha256="0" * 64)], "cortex-a72")
    assert other.libraries != found.libraries
    assert (other.loops, other.callers) == (found.loops, found.callers)


def test_the_place_is_the_one_that_the_unit_names():
    unit = (ROOT / "systemd/midgrey.service").read_text()
    assert f"Environment=NUMBA_CACHE_DIR=/{kernels.PLACE}" in unit.splitlines()
