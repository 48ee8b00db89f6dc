"""A run of tests loads the mutated module again, and all that has taken something of it."""

import importlib
import sys

import pytest

from tests.mutation.loaded import Loaded, of_importers

MODULES = {
    "overlays/__init__.py": "",
    "overlays/deep.py": "NUMBER = 1\n",
    "overlays/middle.py": "from overlays.deep import NUMBER\nTWICE = 2 * NUMBER\n",
    "overlays/aside.py": "NUMBER = 7\n",
    "firmware/__init__.py": "",
    "firmware/top.py": "from overlays import middle\nWORDS = str(middle.TWICE)\n",
}


@pytest.fixture
def made(tmp_path, monkeypatch):
    """A small tree of the same packages, in place of ours while a test lasts."""
    for name, text in MODULES.items():
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text)
    ours = [each for each in sys.modules if each.split(".")[0] in {"overlays", "firmware"}]
    for name in ours:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setattr("tests.mutation.loaded.THEIRS", ())
    monkeypatch.setattr("tests.mutation.loaded.gc.freeze", lambda: None)
    yield tmp_path
    for name in [each for each in sys.modules if each.split(".")[0] in {"overlays", "firmware"}]:
        del sys.modules[name]


def test_whoever_has_imported_it_is_loaded_again_and_sees_the_mutant(made, monkeypatch):
    loaded = Loaded(made)
    before = {name: sys.modules[name] for name in ("overlays.aside", "firmware.top")}
    assert before["firmware.top"].WORDS == "2"
    monkeypatch.syspath_prepend(made)
    (made / "overlays/deep.py").write_text("NUMBER = 100\n")
    loaded.forget("overlays.deep")
    assert importlib.import_module("firmware.top").WORDS == "200"
    assert sys.modules["overlays.aside"] is before["overlays.aside"]


def test_without_a_mutant_nothing_is_forgotten(made):
    loaded = Loaded(made)
    there = set(sys.modules)
    loaded.forget("")
    assert set(sys.modules) == there


def test_those_that_import_each_other_end_the_search():
    importers = {"a": {"b"}, "b": {"a", "c"}, "d": {"a"}}
    assert of_importers("a", importers) == {"a", "b", "c"}
