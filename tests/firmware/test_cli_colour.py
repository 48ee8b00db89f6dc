"""`balance` and `chart` from the command line: options get through, faults are one sentence."""

import json

import pytest

from tests.running import midgrey

BENCH = "bench:size=640x360,signal=yuv444-10"


def test_balance_goes_all_the_way():
    done = midgrey("balance", f"{BENCH},dial=4300", "--at", "0.5,0.5", "--dial", "4300", "--json")
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["dial_to"] == pytest.approx(5600, abs=50)


def test_chart_goes_all_the_way():
    done = midgrey("chart", BENCH, "--scale", "exposure", "--json")
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["scaled_to"] == "exposure"
    assert found["mean_de00"] < 0.5


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("balance", BENCH, "--dial", "warm"), "no colour temperature"),
        (("balance", BENCH, "--gamut", "V-Gamot"), "did you mean V-Gamut"),
        (("balance", BENCH, "--at", "9999,1"), "outside"),
        (("chart", BENCH, "--corners", "1,2"), "8 are needed"),
        (("chart", BENCH, "--reference", "/nowhere.txt"), "cannot be read"),
        (("chart", BENCH, "--picture", "x.jpg"), "is written as png"),
        (("chart", "bench:size=64x36"), "no chart was found"),
    ],
)
def test_faults_are_one_sentence_and_status_2(words, says):
    done = midgrey(*words)
    assert done.returncode == 2
    assert says in done.stderr
    assert done.stderr.count("\n") == 1
    assert done.stdout == ""
