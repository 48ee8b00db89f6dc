"""Where a card's image may be written."""

import dataclasses
from pathlib import Path

import pytest

from hardware.card.boot_lines import Board, Input
from hardware.card.errors import ChoiceError
from hardware.card.order import Order, check

NONE = Path("none")
ORDER = Order(NONE, NONE, Board.PI4, Input.USB, NONE, NONE, NONE, NONE)


def test_the_image_is_not_written_over(tmp_path):
    path = tmp_path / "a.img"
    with pytest.raises(ChoiceError, match="the image itself"):
        check(dataclasses.replace(ORDER, image=path, out=tmp_path / "." / "a.img"))


def test_a_device_is_not_written_to():
    with pytest.raises(ChoiceError, match="no plain file"):
        check(dataclasses.replace(ORDER, out=Path("/dev/null")))


def test_a_folder_has_to_be_there(tmp_path):
    with pytest.raises(ChoiceError, match="no folder"):
        check(dataclasses.replace(ORDER, out=tmp_path / "x" / "a.img"))
    check(dataclasses.replace(ORDER, out=tmp_path / "a.img"))
