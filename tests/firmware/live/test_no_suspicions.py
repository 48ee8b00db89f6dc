"""Nothing is suspected of an ordinary picture: of every one of known truth, and of the bench's.

All signs at once, as a running feed looks for them, over all frames that a picture has. A still
one is shown again and again, as a paused camera sends it.
"""

from dataclasses import replace

import pytest

from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.live.suspicions import LASTING, Suspicions
from firmware.opening.overrides import Overrides
from firmware.opening.session import open_session
from overlays.draw.moment.shown import Measured
from overlays.measure.counting.census import Wants, take_census
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.frame import Frame
from overlays.signal.signal import Range
from tests.attended import attended
from tests.ordinary import BENCH, pictures
from tests.places import SCENES

MOST_FRAMES = 160
PLACE = SpotPlace(8, 8, 8)
NONE = Overrides()


def suspected(feed, profile=None, overrides=NONE, frames=MOST_FRAMES):
    """(what is said, frames that were seen): each frame a second after the last, so all are."""
    session = open_session(feed, profile, overrides, clock=HandClock(), pace=Pace.STEP)
    suspicions, said, number, frame = Suspicions(HandClock()), set(), 0, None
    while number < frames and isinstance(got := session.feed.read(1.0), Frame):
        frame = seen(suspicions, session, got, number)
        said |= set(suspicions.words)
        number += 1
        session.feed.release(got)
    for again in range(number, LASTING + 3):  # a still picture
        assert frame is not None
        seen(suspicions, session, frame, again)
        said |= set(suspicions.words)
    session.feed.close()
    return said, number


def seen(suspicions, session, frame, number):
    read = session.read_with()
    frame = replace(read.frame(frame), number=number, time_ns=number * 10**9)
    yard = read.yardstick(frame.signal, frame.shift)
    census = take_census(frame, yard, Wants.LEVELS | Wants.CHROMA)
    attended(suspicions, Measured(frame, yard, census, PLACE, None, None))
    planes = tuple(plane.copy() for plane in frame.planes)
    return replace(frame, planes=planes)


@pytest.mark.skipif(not SCENES.is_dir(), reason="needs the pictures of known truth")
def test_the_pictures_of_known_truth_are_all_there():
    assert len(pictures()) >= 10
    assert any(".uyvy" in feed for feed, _ in pictures())


@pytest.mark.parametrize(("feed", "profile"), pictures())
def test_no_picture_of_known_truth_is_suspected(feed, profile):
    overrides = NONE if profile is None else Overrides(range=Range.LIMITED)
    said, frames = suspected(feed, profile, overrides)
    assert frames >= 1
    assert said == set()


@pytest.mark.parametrize("options", BENCH)
def test_no_ordinary_scene_of_the_bench_is_suspected(options):
    small = "" if "size" in options else ",size=640x360"
    said, frames = suspected(f"bench:{options}{small}".replace(":,", ":"), frames=40)
    assert (said, frames) == (set(), 40)


def test_a_made_fault_is_seen_the_same_way():
    said, _ = suspected("bench:size=640x360,range=squeezed,says=limited", frames=8)
    assert said
