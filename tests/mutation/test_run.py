"""Which tests a mutant is tried with, and which compiled kernels are forgotten for it."""

import json
from pathlib import Path

import pytest

from tests.mutation import run
from tests.mutation.mutants import mutants
from tests.mutation.run import (
    AT_ONCE,
    MOST_NEAR,
    NEAR,
    Notebook,
    Tried,
    drawn,
    place_of,
    portions,
    share_killed,
    survivors,
)
from tests.mutation.tree import DEAR_S, Tree, dear_files
from tests.mutation.workbench import ROOT


@pytest.fixture(scope="module")
def tree():
    return Tree(ROOT)


def module(tree, name):
    (found,) = [path for path in tree.modules if str(path).endswith(f"/{name}")]
    return found


def test_the_mirror_comes_first_and_then_whoever_imports_it(tree):
    mirror, others, kept = tree.tests_of(module(tree, "spot.py"))
    examples = "test_doctests.py::test_the_examples_of_a_module_hold[overlays.measure.spot.spot]"
    assert [test.name for test in mirror] == ["test_spot.py", examples]
    assert "test_accuracy.py" in {test.name for test in others}
    assert "test_spot.py" not in {test.name for test in others}
    assert "test_cgats.py" not in {test.name for test in others}
    # Whoever imports it is likelier to see something than a test of another that does.
    names = [test.name for test in others]
    assert names.index("test_clipping.py") < names.index("test_accuracy.py")
    assert names.index("test_accuracy.py") < names.index("test_in_view.py")
    assert [test.name for test in kept] == ["test_golden.py"]
    *_, whole = tree.tests_of(module(tree, "commands/outermost.py"))
    assert {"test_golden.py"} < {test.name for test in whole}


def test_kernels_that_hold_a_mutant_are_forgotten(tree):
    of_rows = {path.name for path in tree.kernels_of(module(tree, "row_kernels.py"))}
    assert of_rows == {"row_kernels.py", "picture.py"}
    of_words = {path.name for path in tree.kernels_of(module(tree, "cgats.py"))}
    assert of_words == set()


def test_the_same_seed_draws_the_same_mutants_of_different_lines(tree):
    one, again = (drawn(tree, 20, 5, ["overlays/signal"]) for _ in range(2))
    assert one == again
    assert one != drawn(tree, 20, 6, ["overlays/signal"])
    assert len({(path, mutant.line) for path, mutant in one}) == 20
    assert {path.parts[:2] for path, _ in one} == {("overlays", "signal")}


def test_the_share_counts_what_never_ended_as_found():
    outcomes = ("killed", "killed", "timed out", "survived")
    results = [Tried("a.py:1:1", "what", outcome, 1.0) for outcome in outcomes]
    assert share_killed(results) == 75.0


def test_a_few_files_are_loaded_at_a_time_and_near_leaves_out_the_whole(tree, monkeypatch):
    spot = module(tree, "spot.py")
    mirror, others, whole = tree.tests_of(spot)
    monkeypatch.setattr(run, "dear_files", lambda: frozenset(others[1:2]))
    near = list(portions(tree, spot, MOST_NEAR))
    cheap = [others[0], *others[2:]]
    assert [each for files in near for each in files] == [*mirror, *cheap[:MOST_NEAR]]
    assert max(map(len, near)) == AT_ONCE < len(others)
    assert list(portions(tree, spot, 0)) == [mirror]
    assert [each for files in portions(tree, spot, None) for each in files] == [
        *mirror,
        *others,
        *whole,
    ]


def test_what_was_seen_by_none_near_is_tried_again_with_the_whole(tmp_path):
    file = tmp_path / "results"
    book = Notebook(file, "code")
    book.note(Tried("a.py:1:1", "what", NEAR, 1.0))
    book.note(Tried("a.py:2:1", "what", "killed", 1.0))
    assert Notebook(file, "code").has("a.py:1:1", "what")
    book.reopen()
    again = Notebook(file, "code")
    assert not again.has("a.py:1:1", "what")
    assert again.has("a.py:2:1", "what")
    assert share_killed([Tried("a.py:1:1", "what", NEAR, 1.0)]) == 0.0


def test_of_two_mutants_of_the_same_words_on_a_line_the_one_that_survived_is_tried_again(tmp_path):
    module = Path("overlays/two.py")
    (tmp_path / "overlays").mkdir()
    (tmp_path / module).write_text("ä, x = 'ö', a * b + c * d\n")
    text = (tmp_path / module).read_text()
    one, two = (each for each in mutants(text) if each.by == "/")
    assert one.words(text) == two.words(text)
    book = Notebook(tmp_path / "results", "code")
    book.note(Tried(place_of(module, one), one.words(text), "killed", 1.0))
    assert not book.has(place_of(module, two), two.words(text))
    book.note(Tried(place_of(module, two), two.words(text), "survived", 1.0))
    assert survivors(Tree(tmp_path), book.results) == [(module, two)]


def test_results_of_before_are_refused_in_a_sentence(tmp_path, monkeypatch, capsys):
    file = tmp_path / "results"
    file.write_text('code\n{"path": "a.py", "line": 1, "what": "what", "outcome": "survived"}\n')
    monkeypatch.setattr("sys.argv", ["run", "--again", str(file)])
    with pytest.raises(SystemExit) as end:
        run.asked_for()
    assert end.value.code == 2
    assert f"--again {file}: no results as they are kept now" in capsys.readouterr().err


def test_a_file_is_dear_by_what_all_its_slow_tests_took(tmp_path):
    told = tmp_path / "slow"
    assert dear_files(told) == frozenset()
    half = DEAR_S / 2.0
    took = {"tests/a.py::one": half, "tests/a.py::two": half, "tests/b.py::one": half}
    told.write_text(json.dumps(took))
    assert dear_files(told) == {Path("tests/a.py")}
