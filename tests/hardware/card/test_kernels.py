"""Kernels made beforehand: laid where numba looks, and only those of this very code."""

import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from numba.core.caching import UserProvidedCacheLocator

from firmware.system.kernel_cache import LEDGER
from firmware.system.warmth import STAMP
from hardware.card import kernels, release, wheels
from hardware.card.errors import ChoiceError
from hardware.card.lock import read_lock
from tests.hardware.card import made
from tests.places import ROOT

TOLD = kernels.note("12ab", "cortex-a72")
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
    place = folder / "overlays/measure/counting"
    place.mkdir(parents=True, mode=0o700)
    for name in ("k.nbi", "k.1.nbc"):
        (place / name).write_bytes(b"k")
        (place / name).chmod(0o600)
    (folder / STAMP).write_text("{}")
    (folder / kernels.NOTE).write_text(TOLD)
    return folder


def test_they_are_laid_out_with_modes_that_everybody_may_read(kept, tmp_path):
    kernels.lay(kept, tmp_path / "tree", "1.0.0", TOLD)
    place = tmp_path / "tree/var/cache/midgrey/kernels/1.0.0"
    source = Path("/opt/midgrey/releases/1.0.0/venv/lib/python3.13/site-packages/overlays")
    inside = place / kernels.folder_of(source / "measure/counting")
    assert inside.stat().st_mode & 0o777 == 0o755
    assert sorted(path.name for path in inside.iterdir()) == ["k.1.nbc", "k.nbi"]
    assert all(path.stat().st_mode & 0o777 == 0o644 for path in inside.iterdir())
    assert sorted(path.name for path in place.iterdir()) == [inside.name, STAMP]


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
    (tmp_path / "kept" / kernels.NOTE).write_text(TOLD)
    monkeypatch.setattr(kernels, "PLACE", Path("cache"))
    kernels.lay(tmp_path / "kept", tmp_path, "two", TOLD, repo)
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


@pytest.mark.parametrize("other", [("34cd", "cortex-a72"), ("12ab", "cortex-a53")])
def test_those_of_another_card_are_refused(kept, tmp_path, other):
    assert kernels.is_there(kept, TOLD)
    assert not kernels.is_there(kept, kernels.note(*other))
    with pytest.raises(ChoiceError, match="--make-kernels"):
        kernels.lay(kept, tmp_path / "t", "1.0.0", kernels.note(*other))


def test_a_folder_without_any_is_said(tmp_path):
    assert not kernels.is_there(tmp_path, TOLD)
    with pytest.raises(ChoiceError, match="holds no kernels"):
        kernels.lay(tmp_path, tmp_path / "t", "1", kernels.note("1", "x"))


def test_they_are_of_their_sources_and_of_the_libraries_alone(tmp_path):
    lock = made.wheels(tmp_path / "wheels")
    chosen = wheels.choose(read_lock(lock), tmp_path / "wheels")
    numba = replace(chosen[0], name="numba")
    repo = tmp_path / "repo"
    for name in ("overlays", "firmware"):
        shutil.copytree(ROOT / name, repo / name, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copyfile(ROOT / "pyproject.toml", repo / "pyproject.toml")
    found = kernels.made_of([numba], repo)
    assert found == kernels.made_of([numba, replace(chosen[0], name="rich")], repo)
    (repo / "firmware/selftest/__init__.py").write_text('"""Changed."""\n')
    assert found == kernels.made_of([numba], repo)
    assert found != kernels.made_of([replace(numba, sha256="0" * 64)], repo)
    path = repo / "overlays/measure/counting/kernels.py"
    path.write_text(path.read_text() + "#\n")
    assert found != kernels.made_of([numba], repo)


def test_every_loop_that_is_compiled_lies_where_kernels_are_made_of():
    """And calls nothing of the project that lies elsewhere."""
    places = [ROOT / name for name in kernels.SOURCES]
    compiled = [
        path
        for name in release.OURS
        for path in (ROOT / name).rglob("*.py")
        if "njit(" in path.read_text("utf-8")
    ]
    assert len(compiled) > 10
    for path in compiled:
        assert any(path.is_relative_to(place) for place in places), path
        for line in path.read_text("utf-8").splitlines():
            if line.startswith("from firmware."):
                wanted = ROOT / line.split()[1].replace(".", "/")
                assert any(wanted.is_relative_to(place) for place in places), (path, line)


def test_the_place_is_the_one_that_the_unit_names():
    unit = (ROOT / "systemd/midgrey.service").read_text()
    assert f"Environment=NUMBA_CACHE_DIR=/{kernels.PLACE}" in unit.splitlines()
