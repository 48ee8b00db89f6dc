"""The bench never passes for a camera: every view, every line and every object says so."""

import json
from functools import cache

import pytest
from typer.testing import CliRunner

from firmware.commands.build import application
from firmware.instruments.registry import REGISTRY
from tests.firmware.live.test_every_warning import BRIGHT, SIZES, Spied, played
from tests.golden.cases import ANSWERS, COMMANDS


class Several(Spied):
    """A screen beside which the same is shown on others, of other sizes."""

    def __init__(self):
        super().__init__(SIZES[0])
        self.sheets = {SIZES[0]: self, **{size: Spied(size) for size in SIZES[1:]}}

    def paint(self, shown):
        super().paint(shown)
        for size in SIZES[1:]:
            self.sheets[size].paint(shown)


@cache
def sheets(view):
    """Of each size what was laid on it; the loop behind them is the same."""
    _, several, _ = played(view, BRIGHT, Several())
    return several.sheets


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("view", [view.name for view in REGISTRY.views()])
def test_every_view_says_it_beside_the_reading(view, size):
    sheet = sheets(view)[size]
    letters, foot = sheet.painter._letters, sheet.made.foot
    said = [text for text in sheet.ever if "simulated" in text.words]
    said = [text for text in said if not foot.holds(letters.area(text))]
    assert said
    for text in said:
        assert sheet.made.screen.holds(letters.area(text))
        assert not text.words.endswith("…")


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_says_it(name):
    done = CliRunner().invoke(application(words=COMMANDS[name]), COMMANDS[name])
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
    """Of the kept answers: test_golden.py holds that they are printed so to the last character."""
    feeds = list(objects(json.loads((ANSWERS / f"{name}.json").read_text())))
    assert feeds
    assert all(feed["simulated"] is True for feed in feeds)
