"""What a run draws on, and a run on the bench without a screen: measured, said, shown by lamp."""

import json
from dataclasses import replace

import pytest
from gpiozero.pins.mock import MockFactory

from firmware.clock import HandClock, SystemClock
from firmware.controls.buttons import Buttons
from firmware.controls.gpio_map import PinMap
from firmware.controls.lamp_keeper import LampKeeper
from firmware.controls.panel import ButtonPanel
from firmware.controls.saying import COLOURS, Saying, rhythm
from firmware.controls.signal_lamp import SignalLamp
from firmware.feeds.base import Pace
from firmware.instruments.registry import REGISTRY
from firmware.live.appliance import run_appliance
from firmware.live.eyes import opened_screen
from firmware.live.loop import Loop
from firmware.live.run_plan import RunPlan
from firmware.live.starting import starting_state
from firmware.opening.overrides import Overrides
from firmware.opening.session import open_session
from firmware.screen.blind import Blind
from firmware.screen.drawing import Drawing
from firmware.system.stages import Stages
from tests import views
from tests.golden.playing import Timed, turned_by_hand

SMALL = "bench:size=320x180"
PLAN = RunPlan(view=views.EXPOSE, feed=SMALL, drawing=Drawing.NOTHING, frames=4)
PINS = (16, 20, 21)


def test_a_run_without_a_screen_prints_lines_and_keeps_its_counts(tmp_path, capsys):
    stats = tmp_path / "s.json"
    assert run_appliance(replace(PLAN, lines=True, stats=stats)) == 0
    assert json.loads(stats.read_text())["frames"]["shown"] == 4
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert lines[0]["state"] == "starting"
    assert lines[-1]["state"] == "live"


def test_a_service_without_a_screen_prints_nothing(capsys, tmp_path):
    plan = replace(PLAN, is_service=True, is_headless=True, stats=tmp_path / "s.json")
    assert run_appliance(plan) == 0
    assert capsys.readouterr().out == ""


def test_a_screen_that_comes_is_taken_unless_nothing_is_to_be_drawn(monkeypatch, capsys):
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")  # shows nothing, so none comes
    for headless in (True, False):
        blind = opened_screen(replace(PLAN, is_service=True, is_headless=headless), SystemClock())
        assert isinstance(blind, Blind)
        assert blind.actions() == []
        blind.close()
    assert capsys.readouterr().err == ""


@pytest.fixture
def factory():
    made = MockFactory()
    yield made
    made.reset()


def lamp_on(feed, factory, seconds=6.0):
    """The lamp of three colours over some seconds of a feed, every twentieth second."""
    clock, stages = HandClock(start_ns=10**9), Stages()
    session = open_session(feed, None, Overrides(), clock=HandClock(10**9), pace=Pace.STEP)
    signal = SignalLamp(PinMap({}, colours=PINS), clock, factory)
    keeper = LampKeeper(None, clock, stages, signal)
    board = ButtonPanel(Blind(clock), Buttons(PinMap({}), factory), keeper)
    loop = Loop(
        Timed(session.feed, clock), starting_state(session, REGISTRY.view(None)), board, clock
    )
    turned_by_hand(loop)
    for _ in range(3):
        loop._take_frame()
        loop._measure_frame()
        loop.turn()
    seen = []
    for _ in range(round(seconds / 0.05)):
        keeper.step()
        seen.append(tuple(bool(factory.pin(pin).state) for pin in PINS))
        clock.move(0.05)
    board.close()
    session.feed.close()
    return seen


LOG = "bench:size=320x180,curve=V-Log,cloud=0"


@pytest.mark.parametrize(
    ("exposure", "said"),
    [
        (0, (Saying.CLIPPING, Saying.IN)),
        (1, (Saying.CLIPPING, Saying.OVER)),
        (-1, (Saying.CLIPPING, Saying.UNDER)),
        (-4, (Saying.UNDER,)),
    ],
)
def test_the_lamp_says_what_the_bench_is_set_to(exposure, said, factory):
    """The truth of the bench is its lens, so many stops off mid-grey; its lamp clips until -4."""
    wanted = [
        COLOURS[each] if lit else (False,) * 3
        for each in said
        for lit, length in rhythm(each)
        for _ in range(length // 50)
    ]
    seen = lamp_on(f"{LOG},exposure={exposure}", factory)
    assert seen[: len(wanted)] == wanted
