"""The bench never passes for a camera: every view, every line and every object says so."""

import json

import pytest
from typer.testing import CliRunner

from firmware.commands.build import application
from firmware.instruments.registry import REGISTRY
from tests.firmware.live.test_every_warning import BRIGHT, SIZES, played
from tests.golden.cases import COMMANDS


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("view", [view.name for view in REGISTRY.views()])
def test_every_view_says_it_beside_the_reading(view, size):
    _, sheet, _ = played(view, BRIGHT, size)
    letters, foot = sheet.painter._letters, sheet.made.foot
    said = [text for text in sheet.ever if "simulated" in text.words]
    said = [text for text in said if not foot.holds(letters.area(text))]
    assert said
    for text in said:
        assert sheet.made.screen.holds(letters.area(text))
        assert not text.words.endswith("…")


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_says_it(name):
    done = CliRunner().invoke(application(), COMMANDS[name])
    assert done.exit_code == 0
    first = done.stdout.splitlines()[0]
    assert "simulated" in first or "simulated" in done.stdout.splitlines()[1]


def test_every_line_of_a_watch_says_it():
    words = ["watch", "bench:size=320x180,rate=5,cloud=1.5", "--seconds", "30"]
    done = CliRunner().invoke(application(), words)
    *lines, _ = [line for line in done.stdout.splitlines() if not line.startswith("Note")]
    assert len(lines) > 2
    assert all("(simulated)" in line for line in lines)


def objects(made):
    """Every feed that an object names."""
    if isinstance(made, dict):
        for key, value in made.items():
            if key == "feed" and isinstance(value, dict):
                yield value
            yield from objects(value)
    elif isinstance(made, list):
        for each in made:
            yield from objects(each)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_object_says_it(name):
    done = CliRunner().invoke(application(), [*COMMANDS[name], "--json"])
    feeds = list(objects(json.loads(done.stdout)))
    assert feeds
    assert all(feed["simulated"] is True for feed in feeds)
