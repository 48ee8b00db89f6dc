"""Options declared once become the command line and its usage."""

import sys
from dataclasses import MISSING
from pathlib import Path
from typing import Annotated

import pytest
import typer
from typer.testing import CliRunner

from firmware.commands import build
from firmware.commands.build import application, fields_of, function_of
from firmware.commands.own import Wired
from firmware.written.declared import Argument, Command, Option, options


@options
class Options:
    feed: Annotated[str, Argument("FEED", "What to look at")]
    spare: Annotated[str | None, Argument("SPARE", "Another")] = None
    at: Annotated[tuple[str, ...], Option("--at", "X,Y", "Where")] = ()
    count: Annotated[int, Option("--count", "N", "How often", least=1)] = 2
    file: Annotated[Path | None, Option("--file", "FILE", "Where to")] = None
    json: Annotated[bool, Option("--json", "", "As an object")] = False


COMMAND = Command("look", "Look at something.", Options)


@pytest.fixture
def run(monkeypatch):
    """Run a command whose module only keeps what it was asked."""
    asked = []

    class Module:
        @staticmethod
        def main(command, options):
            asked.append((command, options))
            return 3 if options.count == 3 else None

    monkeypatch.setattr(build, "import_module", lambda _name: Module)
    app = typer.Typer(rich_markup_mode=None)
    app.command("look")(function_of(Wired(COMMAND, "anywhere"), fields_of(Options)))
    app.command("other")(lambda: None)

    def start(*words):
        done = CliRunner().invoke(app, ["look", *words])
        return done, (asked[-1][1] if asked else None)

    return start


def test_fields_are_arguments_then_options():
    assert [field.name for field in fields_of(Options)][:2] == ["feed", "spare"]
    assert fields_of(Options)[-1].name == "json"
    assert fields_of(Options)[0].default is MISSING


def test_what_is_typed_becomes_the_dataclass(run):
    done, options = run("a.mov", "--at", "1,2", "--at", "3,4", "--count", "5", "--json")
    assert done.exit_code == 0, done.output
    assert options == Options(feed="a.mov", at=("1,2", "3,4"), count=5, json=True)
    assert run("a.mov", "--file", "x.png")[1].file == Path("x.png")
    assert run("a.mov")[1] == Options(feed="a.mov")


def test_what_is_there_sooner_is_called_before_the_module_is_loaded(monkeypatch):
    """The screen that says what is waited for."""
    done = []

    class Loaded:
        def __init__(self, name):
            done.append(f"load {name}")

        def before(self, options):
            done.append(f"before {options.feed}")

        def main(self, _command, options):
            done.append(f"main {options.feed}")

    monkeypatch.setattr(build, "import_module", Loaded)
    app = typer.Typer()
    app.command("look")(function_of(Wired(COMMAND, "slow", "light"), fields_of(Options)))
    assert CliRunner().invoke(app, ["a.mov"]).exit_code == 0
    assert done == ["load light", "before a.mov", "load slow", "main a.mov"]


def test_wrong_words_end_with_2(run):
    assert run()[0].exit_code == 2
    assert run("a.mov", "--count", "0")[0].exit_code == 2
    assert run("a.mov", "--nonesuch")[0].exit_code == 2


def test_the_status_of_the_module_is_that_of_the_command(run):
    assert run("a.mov", "--count", "3")[0].exit_code == 3


def test_help_has_every_word_that_was_declared(run):
    text = " ".join(run("--help")[0].output.split())
    for field in fields_of(Options):
        assert field.declared.words in text
    assert COMMAND.words in text


def test_only_a_command_that_was_typed_has_its_options():
    assert "--profile" in CliRunner().invoke(application(words=["read"]), ["read", "--help"]).output
    short = CliRunner().invoke(application(words=["chips"]), ["read", "--help"]).output
    assert "--profile" not in short
    whole, quick = (
        CliRunner().invoke(application(words=words), ["--help"]).output for words in (None, ())
    )
    assert quick == whole


def test_a_fault_of_ours_is_a_plain_traceback(capsys, monkeypatch):
    # Drawn ones need rich, take half a screen of boxes and quote the user's values.
    monkeypatch.setattr(sys, "excepthook", sys.__excepthook__)
    made = application()

    def broken(*_words):
        raise RuntimeError("of ours")

    monkeypatch.setattr("typer.main.get_command", broken)
    with pytest.raises(RuntimeError) as caught:
        made(["read"])
    sys.excepthook(RuntimeError, caught.value, caught.tb)
    said = capsys.readouterr().err
    assert "RuntimeError: of ours" in said
    assert "╭" not in said


def test_a_fault_of_our_own_is_shown_as_python_shows_it():
    """Not in a frame: what a person sends to us then holds every line."""
    assert application().pretty_exceptions_enable is False
