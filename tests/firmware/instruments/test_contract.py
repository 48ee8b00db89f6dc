"""An instrument of a test's own: one folder and one line, and every outlet has it."""

import json
import sys
import textwrap

import jsonschema
import numpy as np
import pytest
from typer.testing import CliRunner

from firmware.commands.build import application
from firmware.commands.schema import schemas
from firmware.commands.usage import usages
from firmware.instruments.registry import REGISTRY, Line
from tests.golden.cases import STANDARD, Moment
from tests.golden.playing import play

FOLDER = {
    "__init__.py": """
        from typing import Annotated
        from firmware.written.declared import Command, Option, options
        from firmware.written.options import FrameOptions

        @options
        class Options(FrameOptions):
            at: Annotated[tuple[str, ...], Option("--at", "X,Y", "Where the moss grows")] = ()

        COMMAND = Command("moss", "Say how much moss there is.", Options)
    """,
    "instrument.py": """
        from dataclasses import dataclass, replace
        from firmware.actions import Press
        from firmware.answers.terminal_numbers import stops_words
        from firmware.answers.origin import Origin
        from firmware.instruments.contract import Instrument
        from overlays.draw.layout.views import View
        from overlays.draw.moment.layers import PinFlags
        from overlays.draw.moment.report import Report, Row

        @dataclass(frozen=True)
        class Answer:
            origin: Origin
            stops: float
            pm: float
            flags: PinFlags
            wet: int

        class Moss(Instrument[int, list, Answer]):
            name = "moss"
            views = (View("moss"),)

            def settings(self, profile, rate):
                return 0

            def pressed(self, settings, press, around):
                return (settings + 1, around.desk) if press is Press.STRIPE_UP else None

            def memory(self):
                return []

            def measure(self, scene, settings, memory):
                spot = scene.spot
                flags = scene.pin_flags()
                return Answer(scene.origin, spot.stops, spot.stops_pm, flags, settings)

            def report(self, answer):
                return Report("moss", "77.77", "cushions", "water it", rows=(Row("wet", "yes"),))

            def layers(self, answer):
                return (answer.flags,)

            def lines(self, answer):
                return [f"moss {stops_words(answer.stops, answer.pm)}"]

        INSTRUMENT = Moss()
    """,
    "object.py": """
        from dataclasses import dataclass
        from firmware.answers.cleaner import said
        from firmware.answers.origin_object import FeedObject, feed_object

        @dataclass(frozen=True)
        class MossObject:
            feed: FeedObject
            moss: float = said("how much moss, in stops")
            wet: int = said("how often it was watered")

        def object_of(answer) -> MossObject:
            return MossObject(feed_object(answer.origin), answer.stops, answer.wet)
    """,
}


@pytest.fixture
def moss(tmp_path, monkeypatch):
    folder = tmp_path / "moss"
    folder.mkdir()
    for name, text in FOLDER.items():
        (folder / name).write_text(textwrap.dedent(text))
    monkeypatch.syspath_prepend(str(tmp_path))
    monkeypatch.setattr(REGISTRY, "lines", [*REGISTRY.lines, Line("moss")])
    yield
    for name in [each for each in sys.modules if each.split(".")[0] == "moss"]:
        del sys.modules[name]


@pytest.mark.usefixtures("moss")
def test_it_is_in_the_index_of_views_and_is_turned_to():
    assert REGISTRY.views()[-1].name == "moss"
    back = play(Moment("moss", "picture", STANDARD, presses=("PREVIOUS_VIEW",)))
    assert np.array_equal(back, play(Moment("moss", "moss", STANDARD)))


@pytest.mark.usefixtures("moss")
def test_it_is_on_the_screen_with_its_report_and_its_layers():
    shown = play(Moment("moss", "moss", STANDARD))
    other = play(Moment("pins", "pins", STANDARD))
    column = shown[:, 600:]
    assert (column != other[:, 600:]).any(axis=2).mean() > 0.02  # its own words
    picture, bare = shown[:300, :560], play(Moment("moss", "moss", STANDARD, pins=False))
    assert (picture != bare[:300, :560]).any()  # pins are drawn on it


@pytest.mark.usefixtures("moss")
def test_it_is_a_command_with_help_an_object_and_lines():
    help_text = CliRunner().invoke(application(), ["moss", "--help"]).output
    assert "Where the moss grows" in help_text
    assert "moss" in CliRunner().invoke(application(), ["--help"]).output
    assert any(usage.startswith("midgrey moss FEED") for usage, _ in usages())
    lines = CliRunner().invoke(application(), ["moss", STANDARD]).output
    assert lines.startswith("moss ")
    assert "±" in lines
    done = CliRunner().invoke(application(), ["moss", STANDARD, "--json"])
    answer = json.loads(done.output)
    assert list(answer) == ["schema", "feed", "moss", "wet"]
    jsonschema.validate(answer, schemas("moss"))
    assert schemas()["moss"]["properties"]["moss"]["description"] == "how much moss, in stops"


@pytest.mark.usefixtures("moss")
def test_it_can_be_run_in_the_terminal(monkeypatch):
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "SDL_VIDEODRIVER"):
        monkeypatch.delenv(name, raising=False)
    words = ["run", "bench:size=320x180", "--view", "moss", "--frames", "2"]
    done = CliRunner().invoke(application(), words)
    assert done.exit_code == 0, done.output
    assert "77.77 cushions" in done.output


@pytest.mark.usefixtures("moss")
def test_an_answer_that_rests_on_codes_alone_is_found_again_with_what_it_was_set_to():
    made = REGISTRY.of_name("moss").instrument
    settings, answer = made.settings(None, 25.0), object()
    assert made.settled(settings, answer) is settings
    assert made.anew(answer, None) is answer
    assert made.before(answer) is None


def test_without_its_line_nothing_knows_it():
    assert CliRunner().invoke(application(), ["moss", STANDARD]).exit_code == 2
