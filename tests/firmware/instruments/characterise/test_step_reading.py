"""A step is read in its frame and in those behind it, as many as the feed has."""

import pytest

from firmware.clock import HandClock
from firmware.instruments.asking import Opener, Wanted
from firmware.instruments.characterise.step_reading import (
    BEHIND,
    frames_apart,
    read_card,
    read_followed,
)

BENCH = "bench:size=320x180,signal=yuv422-10,cloud=0"


def read(options, frame=0):
    with Opener(HandClock()).followed(Wanted(f"{BENCH}{options}", frame=frame)) as (scene, behind):
        alone, noise = read_card(scene)
        ((step, same),) = read_followed(scene, behind, [scene.place])
    assert step.first == alone
    assert same == noise
    return step


def test_frames_behind_are_read_at_their_times():
    step = read(",rate=24")
    assert step.swing.seconds == pytest.approx(BEHIND / 24.0, abs=1e-6)
    assert not step.swing.is_more_than_noise
    assert step.first.tally is not None


def test_lamps_that_flicker_swing_in_them_from_whatever_frame_is_named():
    for frame in (0, 7):
        step = read(",flicker=0.5", frame)
        assert step.swing.is_up_and_down
        assert step.mean.code == pytest.approx(read("").first.code, abs=step.mean.code_pm)


def test_a_still_has_none_behind_it(tmp_path):
    path = tmp_path / "one.uyvy"
    path.write_bytes(bytes((128, 100)) * (64 * 36))
    with Opener(HandClock()).followed(Wanted(f"{path}:size=64x36")) as (scene, behind):
        ((step, _),) = read_followed(scene, behind, [scene.place])
    assert step.swing is None
    assert step.first.code == pytest.approx(100.0)


def test_frames_of_the_next_step_are_not_those_of_this_one():
    named = [("a", 0), ("a", 4), ("b", 2), ("a", 5), ("a", 90)]
    assert frames_apart(named) == [4, 1, BEHIND + 1, 85, BEHIND + 1]
    with Opener(HandClock()).followed(Wanted(f"{BENCH},rate=25")) as (scene, behind):
        ((step, _),) = read_followed(scene, behind, [scene.place], 4)
    assert step.swing.seconds == pytest.approx(3.0 / 25.0, abs=1e-6)
    with Opener(HandClock()).followed(Wanted(BENCH)) as (scene, behind):
        ((step, _),) = read_followed(scene, behind, [scene.place], 1)
    assert step.swing is None


def test_steps_of_one_picture_are_read_as_each_would_be_alone():
    feed = f"{BENCH},flicker=0.3"
    at = ("0.3,0.4", "0.5,0.5", "0.6,0.4")
    with Opener(HandClock()).followed(Wanted(feed, at=at)) as (scene, behind):
        together = read_followed(scene, behind, [pin.place for pin in scene.desk.pins])
    assert len({step.first.code for step, _ in together}) == len(at)
    for one, found in zip(at, together, strict=True):
        with Opener(HandClock()).followed(Wanted(feed, at=(one,))) as (scene, behind):
            assert read_followed(scene, behind, [scene.place]) == [found]
