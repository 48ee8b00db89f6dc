"""A small seeded part of the fuzzing, and that it finds what is put there for it."""

import json

import pytest

from tests.fuzz import cases, run

FEW = {
    "files": 14,
    "profiles": 14,
    "charts": 6,
    "arguments": 14,
    "journals": 12,
    "presets": 14,
    "settings": 40,
}


@pytest.mark.parametrize("kind", run.KINDS)
def test_cases_of_a_seed_end_with_an_answer_or_a_sentence(kind, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "out").mkdir()
    ends = {run.one(kind, 1911, number, tmp_path) for number in range(FEW[kind])}
    assert ends <= {"0", "2"}


@pytest.mark.parametrize(
    ("said", "status", "words"),
    [
        ('{"a": NaN}', 0, "NaN in JSON"),
        ('{"gains": [null, 1, 1]}', 0, "gains"),
        ("{}", 3, "status 3"),
        ("{}", 2, "without a sentence"),
    ],
)
def test_what_must_not_be_is_found(monkeypatch, said, status, words):
    def ended(**_):
        print(said)
        raise SystemExit(status)

    monkeypatch.setattr(cases, "command", lambda: ended)
    with pytest.raises(cases.Fault, match=words):
        cases.run(["read", "x", "--json"])


def test_a_traceback_is_found(monkeypatch):
    def broken(**_):
        raise ZeroDivisionError

    monkeypatch.setattr(cases, "command", lambda: broken)
    with pytest.raises(cases.Fault, match="ZeroDivisionError"):
        cases.run(["read", "x"])


def test_what_was_done_is_not_done_again(tmp_path):
    kept = {"done": 7, "ends": {"0": 5, "2": 2}, "faults": 0}
    (tmp_path / "files-1.json").write_text(json.dumps(kept))
    found = run.drive("files", 1, 7, tmp_path)
    assert (found.done, dict(found.ends)) == (7, kept["ends"])
