"""Code that is made ready: all of it, once, and what a power cut left of it made anew."""

import importlib.util
import subprocess
import sys
from pathlib import Path

import pytest

from firmware.first_boot import code
from firmware.first_boot.code import HEAD, compile_missing, is_compiled


@pytest.fixture
def folder(tmp_path):
    for name in ("a", "b/__init__", "b/c"):
        path = tmp_path / f"{name}.py"
        path.parent.mkdir(exist_ok=True)
        path.write_text(f"NAME = {name!r}\n")
    return tmp_path


def made_of(path):
    return Path(importlib.util.cache_from_source(str(path)))


def test_all_is_compiled_once_and_said(folder):
    told: list[float] = []
    assert compile_missing(folder, told.append) == 3
    assert told == [0.0, 1 / 3, 2 / 3]
    assert all(is_compiled(path) for path in folder.rglob("*.py"))
    assert compile_missing(folder, told.append) == 0


def test_python_loads_what_was_made(folder):
    compile_missing(folder, lambda _done: None)
    (folder / "a.py").write_text("NAME = 'changed, and not looked at'\n")
    command = [sys.executable, "-B", "-c", "import a; print(a.NAME)"]
    done = subprocess.run(
        command, env={"PYTHONPATH": str(folder)}, capture_output=True, text=True, check=True
    )
    assert done.stdout == "a\n"


@pytest.mark.parametrize(
    "left",
    [
        lambda made: made[:0],
        lambda made: made[:4],
        lambda made: made[:HEAD],
        lambda made: made[:-1],
        lambda made: made[:HEAD] + bytes(len(made) - HEAD),
        lambda made: bytes(len(made)),
        lambda made: b"\0\0\0\0" + made[4:],
        lambda made: made[:4] + b"\0\0\0\0" + made[8:],
    ],
)
def test_what_a_cut_left_is_made_anew(folder, left):
    compile_missing(folder, lambda _done: None)
    path = made_of(folder / "b/c.py")
    whole = path.read_bytes()
    path.write_bytes(left(whole))
    assert not is_compiled(folder / "b/c.py")
    assert compile_missing(folder, lambda _done: None) == 1
    assert path.read_bytes() == whole


def test_what_was_made_of_another_source_is_made_anew(folder):
    compile_missing(folder, lambda _done: None)
    (folder / "a.py").write_text("NAME = 'new'\n")
    assert compile_missing(folder, lambda _done: None) == 1
    assert is_compiled(folder / "a.py")


def test_what_does_not_compile_is_left(folder):
    (folder / "old.py").write_text("print 'of another Python'\n")
    assert compile_missing(folder, lambda _done: None) == 4
    assert not is_compiled(folder / "old.py")


def test_what_was_made_is_brought_to_the_card_on_the_way(folder, monkeypatch):
    # Power that goes every twenty seconds would else take all of it, each time.
    monkeypatch.setattr(code, "KEEP_EVERY", 2)
    kept: list[int] = []

    def keep() -> None:
        kept.append(sum(is_compiled(path) for path in folder.rglob("*.py")))

    for name in "def":
        (folder / f"{name}.py").write_text("")
    assert compile_missing(folder, lambda _done: None, keep) == 6
    assert kept == [2, 4, 6]
    assert compile_missing(folder, lambda _done: None, keep) == 0
    assert kept == [2, 4, 6]
