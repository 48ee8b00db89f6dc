"""Frames of one level on a clock of their own, as scenes, and feeds of such frames."""

from dataclasses import replace

import pytest

from firmware.instruments.asking import scene_of
from firmware.instruments.desk import Desk, PinPlace
from firmware.instruments.scene import Frames
from firmware.opening.read_with import read_with
from firmware.opening.session import Session
from firmware.profiles.model import curve_alone
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.published import published_curve

PLACE = SpotPlace(48, 32, 16)
PROFILE = curve_alone(published_curve("V-Log"))
WALL_S = 1_700_000_000.0
"""2023-11-14, 22:13:20 UTC: the time of day at 0 s of the clock of these frames."""


@pytest.fixture
def scene(frame, info):
    """A live frame that is on the screen, so many seconds on; what is named of it differs.

    Frames of one level are alike to the pixel: one is counted and read for all of them.
    """
    counted = {}

    def make(at_s, code=500, places=(PLACE,), timecode="", profile=PROFILE, **changed):
        if (code, profile.name) not in counted:
            counted[code, profile.name] = scene_of(frame(code), read_with(profile, info()), ())
        made = counted[code, profile.name]
        given = replace(made.frame, time_ns=round(at_s * 1e9), timecode=timecode)
        desk = Desk(tuple(PinPlace("", place) for place in places))
        now = {"now_ns": given.time_ns, "wall_s": WALL_S + at_s}
        return replace(made, frame=given, **{"frames": Frames.LIVE, "desk": desk, **now, **changed})

    return make


@pytest.fixture
def session(scripted):
    """An open feed that gives what it is told to, one frame every 40 ms."""

    def make(answers, profile=PROFILE, given=None):
        return Session(scripted(answers, given), profile, is_guess=False)

    return make
