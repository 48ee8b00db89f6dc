"""The docs show what was declared, and nothing else."""

from typer.testing import CliRunner

from firmware.commands.build import application
from firmware.commands.usage import block, usages
from tests.places import ROOT


def test_every_command_of_the_command_line_has_a_usage():
    names = {usage.split()[1] for usage, _ in usages()}
    listed = CliRunner().invoke(application(), ["--help"]).output
    assert {"run", "read", "doctor", "profiles", "schema"} <= names
    for name in names:
        assert f" {name} " in listed


def test_a_usage_shows_each_option_once_and_how_often():
    found = {usage.split()[1]: usage for usage, _ in usages()}
    assert found["read"] == (
        "midgrey read FEED [--at X,Y[,SIZE]]... [--frame N] [--mark] [--json] [how to read]"
    )
    assert found["doctor"] == "midgrey doctor [--json]"
    within = {usage.split()[2]: usage for usage, _ in usages() if " profiles " in usage}
    assert within["check"].endswith("check FILE...")
    assert within["clip"] == "midgrey profiles clip FILE FEED"


def test_the_readme_has_it_to_the_letter():
    assert f"```\n{block()}```\n" in (ROOT / "README.md").read_text(encoding="utf-8")


def test_no_option_is_broken_over_two_lines():
    for line in block().splitlines():
        assert line.count("[") == line.count("]"), line
        assert len(line) <= 100
