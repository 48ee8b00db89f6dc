"""Lines of JSON: strict, by the schema, one a second and at once where something changes."""

import io
import json
from dataclasses import replace

import jsonschema
import pytest

from firmware.clock import HandClock
from firmware.commands.schema import schemas
from firmware.instruments.registry import REGISTRY
from firmware.live.appliance import run_appliance
from firmware.live.json_lines import JsonLines
from firmware.live.run_plan import RunPlan
from firmware.screen.drawing import Drawing
from overlays.draw.moment.shown import Alert, Face, Shown
from tests import views
from tests.moments import every_view


def lines(out):
    return [json.loads(line, parse_constant=pytest.fail) for line in out.getvalue().splitlines()]


@pytest.fixture(scope="module")
def shown():
    found: list[Shown] = []
    every_view("bench:size=320x180", None, found.append, views=["expose"])
    return found[0]


def test_a_line_says_all_of_a_moment_by_its_schema(shown):
    out, clock = io.StringIO(), HandClock(wall_start_s=1_795_737_600.0)
    made = JsonLines(out, clock)
    made.tell(shown)
    clock.move(1.0)
    made.tell(replace(shown, face=Face.LOST, face_words="check the cable", alert=Alert("hot")))
    live, lost = lines(out)
    for line in (live, lost):
        jsonschema.validate(line, schemas("run"))
    assert (live["state"], live["side"], live["target"]) == ("live", "in", "0 st")
    assert live["time"].startswith("2026-11-27")
    assert live["simulated"]
    assert (lost["state"], lost["state_words"], lost["alert"]) == (
        "no signal",
        "check the cable",
        "hot",
    )
    assert (lost["side"], lost["off_target"], lost["answer"], lost["frame"]) == (None,) * 4
    assert lost["why"] == "no signal"
    assert lost["signal"] == ["no feed"]


def test_the_answer_is_that_of_the_views_own_command(shown):
    out = io.StringIO()
    JsonLines(out, HandClock()).tell(shown)
    (line,) = lines(out)
    name = REGISTRY.line_in_view(views.EXPOSE).command.name
    jsonschema.validate({"schema": 1, **line["answer"]}, schemas(name))
    assert line["time"] is None  # of a clock that was never set


@pytest.mark.parametrize("view", views.VIEWS, ids=lambda view: view.name)
def test_every_view_has_lines_from_its_first_frame_on(view, capsys):
    # Without camera A, named chips or a reading taken there is no answer yet, and that is one.
    plan = RunPlan(view=view, feed="bench:size=320x180", frames=3, lines=True)
    assert run_appliance(replace(plan, drawing=Drawing.NOTHING)) == 0
    found = [
        json.loads(line, parse_constant=pytest.fail)
        for line in capsys.readouterr().out.splitlines()
    ]
    for line in found:
        jsonschema.validate(line, schemas("run"))
    assert found[-1]["state"] == "live"
    assert found[-1]["view"] == view.name


def test_one_line_a_second_and_at_once_what_is_new(shown):
    out, clock = io.StringIO(), HandClock()
    made = JsonLines(out, clock)
    for tick in range(400):
        made.tell(replace(shown, note="saved" if 200 <= tick < 210 else ""))
        clock.move(0.01)
    seconds = [line["seconds"] for line in lines(out)]
    assert seconds == [0.0, 1.0, 2.0, 2.1, 3.1]


def test_however_much_changes_there_are_ten_lines_a_second(shown):
    out, clock = io.StringIO(), HandClock()
    made = JsonLines(out, clock)
    for tick in range(200):
        made.tell(replace(shown, note=str(tick)))
        clock.move(0.01)
    assert len(lines(out)) == 20
