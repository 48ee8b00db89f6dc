import dataclasses

import pytest

from firmware.written.declared import Argument, Command, Option
from firmware.written.options import JsonOption


@pytest.mark.parametrize(
    "declared",
    [
        Argument("FEED", "Where the picture comes from"),
        Option("--frame", "N", "Frame, from 0", least=0),
        Command("read", "Read spots.", JsonOption),
    ],
)
def test_declarations_are_plain_values(declared):
    assert declared == dataclasses.replace(declared)
    with pytest.raises(dataclasses.FrozenInstanceError):
        declared.words = "other"


def test_an_option_has_no_least_unless_it_is_a_number():
    assert Option("--profile", "P", "Name").least is None
