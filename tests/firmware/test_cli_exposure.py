"""The commands through the door that users come in by."""

import json

import pytest

from firmware.cli_exposure import COMMANDS
from tests.running import midgrey as run

BENCH = "bench:size=320x180,cloud=0"


@pytest.mark.parametrize("command", [command.__name__ for command in COMMANDS])
def test_each_command_explains_itself(command):
    found = run(command, "--help")
    assert found.returncode == 0
    assert "--json" in found.stdout


@pytest.mark.parametrize(
    ("words", "key"),
    [
        (("expose", f"{BENCH},exposure=1", "--aperture", "4", "--shutter", "180"), "moves"),
        (("chips", BENCH, *("--at", "0.5,0.5") * 3), "chips"),
        (("pins", BENCH, "--at", "0.5,0.5", "--even", "160,90,20,20"), "evenness"),
        (("match", BENCH, f"{BENCH},exposure=1", "--at", "0.5,0.5"), "cdl"),
        (("watch", BENCH, "--frames", "3"), "events"),
    ],
)
def test_each_command_gives_one_object(words, key):
    found = run(*words, "--json")
    assert found.returncode == 0, found.stderr
    assert key in json.loads(found.stdout)


@pytest.mark.parametrize(
    "words",
    [
        ("expose", BENCH, "--iso", "quick"),
        ("match", BENCH, BENCH, "--cdl", "x.txt"),
        ("watch", BENCH, "--frames", "3", "--tolerance", "much"),
        ("chips", BENCH),
    ],
)
def test_bad_input_is_one_sentence(words):
    found = run(*words)
    assert found.returncode == 2
    assert found.stderr.startswith("midgrey: ")
    assert len(found.stderr.strip().splitlines()) == 1
