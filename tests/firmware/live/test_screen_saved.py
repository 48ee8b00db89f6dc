import errno
import os
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.feeds.base import FeedInfo
from firmware.instruments.asking import scene_of
from firmware.instruments.registry import REGISTRY
from firmware.live.screen_saved import save_screen
from firmware.opening.read_with import read_with
from firmware.profiles.shelf import load_profile
from firmware.written.spot_place import parse_spot
from overlays.draw.moment.shown import Measured
from tests import views
from tests.colour_frames import frame_of


class PaperScreen:
    """A screen whose picture is three bytes."""

    def is_lit(self):
        return True

    def png(self):
        return b"PNG"


def test_pictures_go_to_the_services_folder_and_none_takes_anothers_place(tmp_path, monkeypatch):
    monkeypatch.setenv("STATE_DIRECTORY", str(tmp_path))
    clock = HandClock(wall_start_s=1_700_000_000.4)
    said = [save_screen(PaperScreen(), clock, None) for _ in range(3)]
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
    monkeypatch.setattr("firmware.live.screen_saved.save", refuse)
    said = save_screen(PaperScreen(), HandClock(), None)
    assert said == f"picture not saved: {os.strerror(number).lower()}"


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
    said = save_screen(PaperScreen(), clock, matched_moment(-0.5))
    assert said == f"saved midgrey-1700000000.png and .cc and .whole.cc in {tmp_path}"
    root = ET.fromstring((tmp_path / "midgrey-1700000000.cc").read_bytes())
    assert root.get("id") == "midgrey-1700000000"
    slope = next(node.text for node in root.iter() if node.tag.endswith("Slope"))
    assert [float(number) for number in slope.split()] != [1.0, 1.0, 1.0]
    assert "V-Log" in (tmp_path / "midgrey-1700000000.cc").read_text()
    for plain in (replace(matched_moment(-0.5), answer=None), nothing_taken()):
        assert "and .cc" not in save_screen(PaperScreen(), clock, plain)


def test_a_remainder_that_cannot_be_saved_leaves_the_picture(tmp_path, monkeypatch):
    def refuse(path, content):
        if path.suffix == ".cc":
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        path.write_bytes(content)

    monkeypatch.setenv("STATE_DIRECTORY", str(tmp_path))
    monkeypatch.setattr("firmware.live.screen_saved.save", refuse)
    said = save_screen(PaperScreen(), HandClock(), matched_moment(-0.5))
    assert "saved midgrey-0.png (no .cc: no space left on device)" in said
