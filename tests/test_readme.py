"""What the README promises by the letter."""

import re

from tests.places import ROOT

README = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```sh\n(.*?)```", README, re.DOTALL)


def test_two_commands_come_first_and_are_one_line_each():
    assert [len(block.strip().splitlines()) for block in BLOCKS[:2]] == [1, 1]
    assert BLOCKS[0].strip().endswith("midgrey")
    assert "pytest" in BLOCKS[1]


def test_ci_calls_exactly_the_test_command():
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    called = script.split("# README: test\n")[1].splitlines()[0]
    assert called == BLOCKS[1].strip()
