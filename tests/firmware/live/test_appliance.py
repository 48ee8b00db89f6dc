import errno
import json
import math
import os
import threading
import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path

import numpy as np
import pygame
import pytest

from firmware.clock import HandClock
from firmware.errors import (
    FeedOptionError,
    FirmwareError,
    ScreenError,
    UnknownProfileError,
)
from firmware.feeds.base import FeedInfo
from firmware.instruments.asking import scene_of
from firmware.instruments.registry import REGISTRY
from firmware.live import appliance
from firmware.live.appliance import (
    _snapshot,
    kept_clip,
    run_appliance,
)
from firmware.live.run_plan import RunPlan
from firmware.opening.read_with import read_with
from firmware.profiles.shelf import load_profile
from firmware.screen.drawing import Drawing
from firmware.system.crew import ThreadCrew
from firmware.written.places import parse_spot
from overlays.draw.layout import typeface
from overlays.draw.moment.shown import Measured
from overlays.measure.counting.clip import FlatTop
from tests import views
from tests.colour_frames import frame_of
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


class PaperScreen:
    """A screen whose picture is three bytes."""

    def is_lit(self):
        return True

    def png(self):
        return b"PNG"


def test_pictures_go_to_the_services_folder_and_none_takes_anothers_place(tmp_path, monkeypatch):
    monkeypatch.setenv("STATE_DIRECTORY", str(tmp_path))
    clock = HandClock(wall_start_s=1_700_000_000.4)
    said = [_snapshot(PaperScreen(), clock, None) for _ in range(3)]
    assert said[0] == f"saved midgrey-1700000000.png in {tmp_path}"
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        f"midgrey-170000000{n}.png" for n in range(3)
    ]


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EROFS])
def test_a_card_that_takes_no_picture_is_one_sentence_and_nothing_else(
    tmp_path, monkeypatch, number
):
    def refuse(_path, _content):
        raise OSError(number, os.strerror(number))

    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("firmware.live.appliance.save", refuse)
    said = _snapshot(PaperScreen(), HandClock(), None)
    assert said == f"picture not saved: {os.strerror(number).lower()}"


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


MATCH = REGISTRY.in_view(views.MATCH)


def matched_moment(stops_off):
    """Camera B, off in one channel by more than exposure and balance put right."""
    light = np.full((96, 160, 3), 0.18)
    light[:, 80:] = (0.4, 0.1, 0.05)
    off = light.copy()
    off[:, 80:, 0] *= 2.0**stops_off
    profile = load_profile("log-v")
    settings, memory = replace(MATCH.settings(profile, 25.0), taken=1), MATCH.memory()
    places = [parse_spot("40,48,32"), parse_spot("120,48,32")]
    for picture in (light, off):
        frame = frame_of(picture, "V-Log", noise=0.5)
        info = FeedInfo("made", "", 160, 96, frame.signal, 25.0)
        scene = scene_of(frame, read_with(profile, info), places)
        answer = MATCH.measure(scene, settings, memory)
    found = (scene.frame, scene.yard, scene.census, scene.place, None, None)
    return Measured(*found, answer=answer, view=views.MATCH)


def nothing_taken():
    """The match view before camera A was taken."""
    before = matched_moment(0.0)
    return replace(before, answer=replace(before.answer, compared=None))


def test_in_the_match_view_the_remainder_is_saved_beside_the_picture(tmp_path, monkeypatch):
    monkeypatch.setenv("STATE_DIRECTORY", str(tmp_path))
    clock = HandClock(wall_start_s=1_700_000_000.4)
    said = _snapshot(PaperScreen(), clock, matched_moment(-0.5))
    assert said == f"saved midgrey-1700000000.png and .cc and .whole.cc in {tmp_path}"
    root = ET.fromstring((tmp_path / "midgrey-1700000000.cc").read_bytes())
    assert root.get("id") == "midgrey-1700000000"
    slope = next(node.text for node in root.iter() if node.tag.endswith("Slope"))
    assert [float(number) for number in slope.split()] != [1.0, 1.0, 1.0]
    assert "V-Log" in (tmp_path / "midgrey-1700000000.cc").read_text()
    for plain in (replace(matched_moment(-0.5), answer=None), nothing_taken()):
        assert "and .cc" not in _snapshot(PaperScreen(), clock, plain)


def test_a_remainder_that_cannot_be_saved_leaves_the_picture(tmp_path, monkeypatch):
    def refuse(path, content):
        if path.suffix == ".cc":
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        path.write_bytes(content)

    monkeypatch.setenv("STATE_DIRECTORY", str(tmp_path))
    monkeypatch.setattr("firmware.live.appliance.save", refuse)
    said = _snapshot(PaperScreen(), HandClock(), matched_moment(-0.5))
    assert "saved midgrey-0.png (no .cc: no space left on device)" in said


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


@pytest.mark.parametrize(("key", "workers"), [("", 3), ("workers = 1", 1), ("workers = 2", 2)])
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
