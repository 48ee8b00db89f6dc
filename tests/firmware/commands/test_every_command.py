"""Every command of the registry through the door that users come in by."""

import json

import pytest
from typer.testing import CliRunner

from firmware.commands.build import application
from firmware.instruments.registry import REGISTRY

BENCH = "bench:size=320x180,cloud=0"
COLOUR = "bench:size=640x360,signal=yuv444-10"


def run(*words):
    return CliRunner().invoke(application(words=words), list(words))


@pytest.mark.parametrize("command", [command.name for command in REGISTRY.commands()])
def test_each_command_explains_itself(command):
    found = run(command, "--help")
    assert found.exit_code == 0
    assert "--json" in found.stdout


@pytest.mark.parametrize(
    ("words", "key"),
    [
        (("read", BENCH, "--at", "0.5,0.5"), "spots"),
        (("expose", f"{BENCH},exposure=1", "--aperture", "4", "--shutter", "180"), "moves"),
        (("chips", BENCH, *("--at", "0.5,0.5") * 3), "chips"),
        (("pins", BENCH, "--at", "0.5,0.5", "--even", "160,90,20,20"), "evenness"),
        (("match", BENCH, f"{BENCH},exposure=1", "--at", "0.5,0.5"), "cdl"),
        (("watch", BENCH, "--frames", "3"), "events"),
        (("balance", BENCH), "dial_to"),
        (("chart", COLOUR), "patches"),
    ],
)
def test_each_command_gives_one_object(words, key):
    found = run(*words, "--json")
    assert found.exit_code == 0, found.output
    assert key in json.loads(found.stdout)


def test_balance_goes_all_the_way():
    done = run("balance", f"{COLOUR},dial=4300", "--at", "0.5,0.5", "--dial", "4300", "--json")
    assert done.exit_code == 0, done.stderr
    assert json.loads(done.stdout)["dial_to"] == pytest.approx(5600, abs=50)


def test_chart_goes_all_the_way():
    done = run("chart", COLOUR, "--scale", "exposure", "--json")
    assert done.exit_code == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["scaled_to"] == "exposure"
    assert found["mean_de00"] < 0.5


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("expose", BENCH, "--iso", "quick"), "no speed"),
        (("match", BENCH, BENCH, "--cdl", "x.txt"), "is written as cdl"),
        (("watch", BENCH, "--frames", "3", "--tolerance", "much"), "much"),
        (("chips", BENCH), "no pins named"),
        (("balance", COLOUR, "--dial", "warm"), "no colour temperature"),
        (("balance", COLOUR, "--gamut", "V-Gamot"), "did you mean V-Gamut"),
        (("balance", COLOUR, "--at", "9999,1"), "outside"),
        (("chart", COLOUR, "--corners", "1,2"), "8 are needed"),
        (("chart", COLOUR, "--reference", "/nowhere.txt"), "cannot be read"),
        (("chart", COLOUR, "--picture", "x.jpg"), "is written as png"),
        (("chart", "bench:size=64x36"), "no chart was found"),
        (("schema", "raed"), "did you mean read"),
    ],
)
def test_bad_input_is_one_sentence_and_status_2(words, says):
    found = run(*words)
    assert found.exit_code == 2
    assert says in found.stderr
    assert found.stderr.startswith("midgrey: ")
    assert found.stderr.count("\n") == 1
    assert found.stdout == ""
