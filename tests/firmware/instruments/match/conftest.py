"""Scenes of the bench, as the match view and its command get them."""

from dataclasses import replace

import pytest

from firmware.clock import HandClock
from firmware.instruments.asking import Opener, Wanted
from firmware.instruments.desk import Desk, PinPlace
from firmware.instruments.scene import Frames
from overlays.measure.spot.spot import SpotPlace

GREY, WHITE, RED = SpotPlace(320, 180, 20), SpotPlace(390, 156, 20), SpotPlace(250, 150, 12)
"""Chips of the bench at 640x360."""


@pytest.fixture
def scene():
    """A live frame of the bench that is on the screen; what is named of it differs."""

    def make(options="", places=(GREY, WHITE), dial=None, gain=1, profile=None, **changed):
        text = f"bench:size=640x360,cloud=0{options}"
        text += "" if "signal=" in options else ",signal=yuv422-10"
        text += "" if "curve=" in options else ",curve=V-Log"
        with Opener(HandClock()).scene(Wanted(text, profile)) as made:
            pins = tuple(PinPlace("", place) for place in places)
            desk = Desk(pins, dial_kelvin=dial, gain=gain)
            return replace(made, **{"frames": Frames.LIVE, "desk": desk, **changed})

    return make
