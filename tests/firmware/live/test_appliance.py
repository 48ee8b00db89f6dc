import json
import math
import threading
from dataclasses import fields
from functools import partialmethod
from pathlib import Path
from unittest.mock import Mock

import pygame
import pytest

from firmware.errors import (
    FeedOptionError,
    FirmwareError,
    ScreenError,
    ThreadStuckError,
    UnknownProfileError,
)
from firmware.live import appliance
from firmware.live.appliance import (
    kept_clip,
    run_appliance,
)
from firmware.live.kinds import make_known
from firmware.live.marking import Marking
from firmware.live.paging import Paging
from firmware.live.run_plan import RunPlan
from firmware.profiles.shelf import load_profile
from firmware.screen.drawing import Drawing
from firmware.system.crew_threads import ThreadCrew
from overlays.draw.layout import typeface
from overlays.measure.counting.clip import FlatTop
from tests import views
from tests.firmware.kept.test_document import KEPT

SMALL = "bench:size=320x180"
WHITE = math.log2(0.9 / 0.18)


def options(**changes):
    usual = {"view": views.EXPOSE, "feed": SMALL, "drawing": Drawing.UNSEEN, "frames": 4}
    return RunPlan(**{**usual, **changes})


@pytest.mark.parametrize("view", views.VIEWS, ids=lambda view: view.name)
def test_runs_on_the_bench_and_saves_what_it_showed(tmp_path, view):
    shot, stats = tmp_path / "s.png", tmp_path / "s.json"
    status = run_appliance(options(size=(800, 480), view=view, screenshot=shot, stats=stats))
    assert status == 0
    assert pygame.image.load(shot).get_size() == (800, 480)
    made = json.loads(stats.read_text())
    assert made["frames"]["shown"] == 4
    assert made["frames"]["in"] >= 4
    assert made["age_ms"]["p99"] > 0.0
    assert made["first_frame_s"] is None or made["first_frame_s"] > 0.0


def test_what_cannot_be_closed_keeps_nothing_else_from_it(monkeypatch):
    closed = []

    def closing(one, close):
        closed.append(type(one).__name__)
        return close(one)

    monkeypatch.setattr(Paging, "close", Mock(side_effect=ThreadStuckError("a picture hangs")))
    for each in (Marking, ThreadCrew):
        monkeypatch.setattr(each, "close", partialmethod(closing, each.close))
    with pytest.raises(ThreadStuckError, match="a picture hangs"):
        run_appliance(options(size=(480, 320)))
    assert closed == ["Marking", "ThreadCrew"]


def test_a_typeface_that_is_not_installed_is_said_once(capsys, monkeypatch):
    monkeypatch.setattr(typeface, "find_spec", lambda _name: None)
    typeface.typeface.cache_clear()
    try:
        assert run_appliance(options(size=(480, 320))) == 0
    finally:
        typeface.typeface.cache_clear()
    said = capsys.readouterr().err
    assert said.count(typeface.MISSING) == 1
    assert said.startswith("midgrey: the typeface ")


def test_a_picture_that_cannot_be_written_costs_nobody_the_counts(tmp_path):
    stats = tmp_path / "s.json"
    with pytest.raises(ScreenError, match=r"no space left on device\); delete old files"):
        run_appliance(options(screenshot=Path("/dev/full"), stats=stats))
    assert json.loads(stats.read_text())["frames"]["shown"] == 4
    with pytest.raises(FirmwareError, match="the counts cannot be written"):
        run_appliance(options(stats=Path("/dev/full")))


def test_the_screen_is_closed_when_the_feed_cannot_be_opened():
    with pytest.raises(FeedOptionError):
        run_appliance(options(feed="bench:nonsense=1"))
    assert not pygame.display.get_init()
    with pytest.raises(UnknownProfileError):
        run_appliance(options(profile="nonsense"))


def test_why_the_clip_is_not_written_is_a_note_too():
    top = FlatTop((70.0, 70.0, 70.0), 0.1)
    assert "ships with midgrey" in kept_clip(load_profile("log-s3"), top)
    assert "lamp" in kept_clip(load_profile("log-s3"), None)


def test_what_is_kept_is_taken_up_and_a_factory_start_leaves_it(tmp_path):
    keep, stats = tmp_path / "kept.json", tmp_path / "s.json"
    kept = json.loads(KEPT.content())
    keep.write_text(json.dumps(kept))
    for factory in (False, True):
        shot = tmp_path / f"{factory}.png"
        plan = options(keep=keep, factory=factory, size=(480, 320), screenshot=shot, stats=stats)
        assert run_appliance(plan) == 0
        assert pygame.image.load(shot).get_size() == (480, 320)
    same = pygame.image.load(tmp_path / "False.png"), pygame.image.load(tmp_path / "True.png")
    assert pygame.image.tobytes(same[0], "RGB") != pygame.image.tobytes(same[1], "RGB")
    assert (tmp_path / "kept.before-factory.json").exists()


@pytest.mark.parametrize(("key", "workers"), [("", 2), ("workers = 1", 1), ("workers = 3", 3)])
def test_frames_are_shared_as_the_profile_says_and_no_helper_is_left(
    tmp_path, monkeypatch, key, workers
):
    made = []

    class Seen(ThreadCrew):
        def __init__(self, cores):
            super().__init__(cores)
            made.append(self)

    monkeypatch.setattr(appliance, "ThreadCrew", Seen)
    monkeypatch.setattr(appliance, "usable_cores", lambda: 3)
    path = tmp_path / "kit.toml"
    path.write_text(f'curve = "BT.709"\n{key}\n')
    assert run_appliance(options(profile=str(path))) == 0
    assert [crew.workers for crew in made] == [workers]
    assert not [each for each in threading.enumerate() if each.name.startswith("helper")]


def test_kinds_are_made_known_before_anybody_shares_work(monkeypatch):
    # Two threads that bring numba the same new kind of argument can end the process.
    order = []
    known, crew = make_known, ThreadCrew

    def made_known():
        order.append("known")
        known()

    def made_crew(cores):
        order.append("crew")
        return crew(cores)

    monkeypatch.setattr(appliance, "make_known", made_known)
    monkeypatch.setattr(appliance, "ThreadCrew", made_crew)
    assert run_appliance(options()) == 0
    assert order == ["known", "crew"]


@pytest.mark.parametrize("is_heard", [True, False])
def test_once_there_is_a_picture_a_unit_makes_what_it_lacks_and_a_laptop_does_not(
    is_heard, monkeypatch
):
    """What is missing would be compiled when a view first asks for it: no picture meanwhile."""
    monkeypatch.setattr(appliance, "give_back", lambda: None)
    tools = {each.name: Mock() for each in fields(appliance._Tools)}
    tools["notifier"].is_heard = is_heard
    appliance._Tools(**tools).settle()
    assert tools["warming"].begin.called == is_heard
    assert tools["marking"].prepare.called


@pytest.mark.parametrize("asked", [True, False])
def test_marks_go_into_the_journal_that_was_asked_for_else_into_the_units_own(
    tmp_path, monkeypatch, asked
):
    given, own = tmp_path / "given.db", tmp_path / "own.db"
    opened = []

    def marking(path, *more):
        opened.append(path)
        return Marking(path, *more)

    monkeypatch.setattr(appliance, "Marking", marking)
    monkeypatch.setattr(appliance, "journal_file", lambda _environ: own)
    assert run_appliance(options(size=(480, 320), journal=given if asked else None)) == 0
    assert opened == [given if asked else own]
