"""The command line of hardware/card/build."""

import subprocess
import sys

import pytest

from hardware.card import command, release
from hardware.card.boot_lines import Board, Input
from hardware.card.errors import ChoiceError
from tests.places import ROOT

WORDS = ["a.img", "--out", "b.img", "--board", "pi5"]


def order(*words, **environ):
    asked = command.parser().parse_args([*WORDS, *words])
    return command.order_of(asked, {"HOME": "/home/me", **environ})


def test_what_is_not_asked_for_has_its_place():
    made = order()
    assert (made.board, made.chosen) == (Board.PI5, Input.BRIDGE)
    assert made.lock_file == release.REPO / "hardware/card/lock.txt"
    assert str(made.wheels) == "/home/me/.cache/midgrey-card/wheels"
    # Packages differ by what is asked for: those of one input never stand in for another's.
    assert order("--input", "camera").debs != made.debs
    assert str(order("--kept", "/k").debs) == "/k/debs"
    assert str(order(XDG_CACHE_HOME="/c").wheels) == "/c/midgrey-card/wheels"
    assert order("--room", "1.5").room_bytes == 3 << 29


@pytest.mark.parametrize("room", ["0", "-3", "1000", "nan"])
def test_room_has_bounds(room):
    with pytest.raises(ChoiceError, match="out of bounds"):
        order(f"--room={room}")


def test_the_date_is_the_same_for_everybody_or_as_said():
    assert command.epoch_of({}) == command.EPOCH
    assert command.epoch_of({"SOURCE_DATE_EPOCH": "1700000000"}) == 1700000000


@pytest.mark.parametrize("text", ["", "-1", "yesterday", "0", "99999999999", "１"])
def test_a_date_that_is_none_is_said(text):
    with pytest.raises(ChoiceError, match="SOURCE_DATE_EPOCH"):
        command.epoch_of({"SOURCE_DATE_EPOCH": text})


def test_a_full_disk_is_one_sentence(capsys):
    def making(*_):
        raise OSError(28, "No space left on device", "/tmp/x")

    assert command.main(WORDS, making) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "No space left" in said


def test_it_says_what_to_do_next(capsys):
    assert command.main(WORDS, lambda *_: None) == 0
    assert "handbook/card.md" in capsys.readouterr().err


def test_the_script_runs_from_anywhere(tmp_path):
    done = subprocess.run(
        [sys.executable, ROOT / "hardware/card/build", "--help"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=True,
    )
    assert "--board" in done.stdout
