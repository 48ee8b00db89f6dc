"""The texts that guided fuzzing begins with, and that a fault of another kind ends it."""

import pytest

from tests.fuzz import guided


@pytest.mark.parametrize("kind", ["profile", "chart", "option"])
def test_every_seed_is_understood_or_refused(kind, tmp_path):
    parse = guided.parsers(tmp_path)[kind]
    for text in guided.seeds(kind, 10):
        guided.tried(parse, text.encode(errors="replace"))


def test_every_parser_of_options_is_there():
    for module, name in guided.OPTIONS:
        assert callable(getattr(guided.import_module(module), name)), (module, name)


def test_other_faults_are_let_through():
    def broken(text):
        raise ValueError(text)

    with pytest.raises(ValueError, match="x"):
        guided.tried(broken, b"x")
