"""Every outlet on clipped and on black pictures: no ± beside a bound, and the right reason."""

import json

import pytest
from typer.testing import CliRunner

from firmware.commands.build import application

BENCH = "bench:size=960x540,signal=yuv422-10"
AT = ["--at", "584,233", "--at", "480,270", "--at", "584,306"]
COMMANDS = {
    "read": ["read", "{}", *AT],
    "expose": ["expose", "{}", "--aperture", "4"],
    "chips": ["chips", "{}", *AT],
    "pins": ["pins", "{}", *AT],
    "match": ["match", "{}", BENCH, *AT],
    "watch": ["watch", "{},rate=10", *AT, "--seconds", "3"],
    "balance": ["balance", "{}"],
}
EXPOSURES = (-12, -9, -4, -1, 0, 1, 2, 3, 5, 8)


def run(words, feed, *more):
    typed = [*(word.format(feed) for word in words), *more]
    result = CliRunner().invoke(application(words=typed), typed)
    assert result.exit_code == 0, result.output
    return result.stdout


def objects(value):
    """Every object of a JSON document."""
    if isinstance(value, dict):
        yield value
        value = list(value.values())
    if isinstance(value, list):
        for each in value:
            yield from objects(each)


@pytest.mark.parametrize("curve", ["BT.709", "HLG"])
@pytest.mark.parametrize("command", COMMANDS)
def test_no_plus_minus_stands_beside_a_bound(command, curve):
    bounds = 0
    for exposure in EXPOSURES:
        feed = f"{BENCH},curve={curve},exposure={exposure}"
        found = json.loads(run(COMMANDS[command], feed, "--json"))
        for each in objects(found):
            if each.get("at_least") or each.get("at_most"):
                bounds += 1
                halves = [each.get(key) for key in ("stops_pm", "percent_pm", "pm", "off_pm")]
                assert halves == [None] * 4, (exposure, each)
            if each.get("clipped", 0.0) and isinstance(each["clipped"], float):
                assert each["clipped"] < 0.02 or each["stops_pm"] is None
            if each.get("brightest_at_least"):
                assert each["brightest_pm"] is None
    assert bounds > 0  # else nothing was shown


@pytest.mark.parametrize("command", ["read", "expose", "chips", "pins", "balance", "watch"])
def test_what_is_clipped_is_called_so_and_never_dark(command):
    """Issue: "No light" was printed for clipped values, "+2.38 ± 0.01" beside "81 % clipped"."""
    said = run(COMMANDS[command], f"{BENCH},exposure=6")
    # Whole, also in a table of 80 columns; the watch of issue 11, item 7, says no level at all.
    assert "at least +" in said or command == "watch"
    assert "…" not in said
    assert "clipped" in said
    assert "no light" not in said.replace("no light above black", "")


def test_chart_calls_clipped_greys_clipped():
    said = run(["chart", "{}"], "bench:size=960x540,signal=yuv444-10,exposure=0.7")
    assert "stops off: clipped" in said
    assert "no light" not in said


def test_expose_without_light_says_so_and_not_that_it_is_clipped():
    said = run(COMMANDS["expose"], f"{BENCH},exposure=-12,noise=0")
    assert "Off unknown: " in said
    assert "clipped" not in said
