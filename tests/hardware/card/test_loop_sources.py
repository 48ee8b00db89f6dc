"""What loops are made of: as numba compiles them, and no more than they stand on."""

import importlib
import subprocess
import sys
from pathlib import Path

import pytest
from numba.core.registry import CPUDispatcher

from hardware.card import loop_sources, release
from tests.places import ROOT

CALLED = """
import numba

STEP = {step}

@numba.njit(cache=True)
def stepped(x):
    return x + {step}
"""
CALLER = """
import numba
from overlays import called

@numba.njit(cache=True)
def twice(x):
    return called.stepped(called.stepped(x))
"""
BESIDE = "from firmware import nothing\n"
USES = """
import sys
from overlays.caller import twice
print(twice(0), sum(twice.stats.cache_hits.values()))
"""


@pytest.fixture
def repo(tmp_path):
    """A small project: a loop that calls one of another module, and what stands beside them."""
    for name in release.OURS:
        (tmp_path / name).mkdir()
        (tmp_path / name / "__init__.py").touch()
    for name in ("called", "caller", "beside"):
        text = {"called": CALLED.format(step=1), "caller": CALLER, "beside": BESIDE}[name]
        (tmp_path / f"overlays/{name}.py").write_text(text)
    (tmp_path / "firmware/nothing.py").write_text("import numba\n")
    return tmp_path


def compiled():
    """Modules with loops that are kept, by what numba itself made of them."""
    found = {}
    for path in [each for name in release.OURS for each in (ROOT / name).rglob("*.py")]:
        name = path.relative_to(ROOT).as_posix()
        if b"numba" in path.read_bytes():
            module = importlib.import_module(name.removesuffix(".py").replace("/", "."))
            loops = [each for each in vars(module).values() if isinstance(each, CPUDispatcher)]
            # Loops of other modules that are only imported here are theirs.
            own = [each for each in loops if each.py_func.__module__ == module.__name__]
            if any("Null" not in type(vars(each)["_cache"]).__name__ for each in own):
                found[name] = own
    return found


def test_every_module_whose_loops_numba_keeps_is_found():
    assert sorted(compiled()) == sorted(loop_sources.loops())
    assert len(compiled()) > 15


def test_whatever_numba_compiles_into_a_loop_is_of_what_it_is_made_of():
    """Followed from loop to loop through their own globals, as numba resolves names."""
    calls = 0
    for name, loops in compiled().items():
        seen, waiting = set(), list(loops)
        while waiting:
            each = waiting.pop().py_func
            if each not in seen:
                seen.add(each)
                named = (each.__globals__.get(word) for word in each.__code__.co_names)
                waiting += [found for found in named if isinstance(found, CPUDispatcher)]
        files = {Path(each.__code__.co_filename).relative_to(ROOT).as_posix() for each in seen}
        assert files <= loop_sources.stood_on(name), name
        calls += len(files) - 1
    assert calls > 2  # from one file to another: else nothing is shown


def test_what_calls_a_loop_that_was_changed_is_stale_though_numba_keeps_it(repo):
    def run():
        environ = {"PATH": "/usr/bin", "NUMBA_CACHE_DIR": str(repo / "kept")}
        words = [sys.executable, "-c", USES]
        done = subprocess.run(
            words, env=environ, cwd=repo, capture_output=True, text=True, check=True
        )
        return done.stdout.split()

    before = loop_sources.loops(repo)
    assert run() == ["2", "0"]
    (repo / "overlays/called.py").write_text(CALLED.format(step=5))
    # This is why: the loop of before is loaded, and 10 would be right.
    assert run() == ["2", "1"]
    after = loop_sources.loops(repo)
    assert set(before) == {"overlays/called.py", "overlays/caller.py"}
    assert all(before[name] != after[name] for name in before)


@pytest.mark.parametrize("name", ["overlays/beside.py", "firmware/nothing.py"])
def test_what_no_loop_stands_on_leaves_them_as_they_are(repo, name):
    before = loop_sources.loops(repo)
    with (repo / name).open("a") as file:
        file.write("# other\n")
    assert loop_sources.loops(repo) == before


def test_a_package_on_the_way_counts(repo):
    before = loop_sources.loops(repo)
    (repo / "overlays/__init__.py").write_text("LIMIT = 3\n")
    assert loop_sources.loops(repo)["overlays/caller.py"] != before["overlays/caller.py"]


def test_they_stand_on_a_part_of_the_project_only():
    loops = loop_sources.loops()
    stood_on = set().union(*(loop_sources.stood_on(name) for name in loops))
    every = [path for name in release.OURS for path in (ROOT / name).rglob("*.py")]
    assert len(stood_on) < len(every) / 5
    assert loop_sources.stood_on("overlays/measure/spot/student.py") == {
        "overlays/measure/spot/student.py"
    }


def test_what_brings_them_their_arguments_is_told_apart(tmp_path):
    for name in loop_sources.CALLERS:
        assert (ROOT / name).exists(), name
        place = tmp_path / name
        inside = place if name.endswith(".py") else place / "one.py"
        inside.parent.mkdir(parents=True, exist_ok=True)
        inside.write_text("ONE = 1\n")
    before = loop_sources.callers(tmp_path)
    assert before == loop_sources.callers(tmp_path)
    (tmp_path / "overlays/one.py").write_text("ONE = 2\n")
    assert before != loop_sources.callers(tmp_path)
