"""Scenes of the bench, as the balance view and its command get them."""

from dataclasses import replace

import pytest

from firmware.clock import HandClock
from firmware.instruments.asking import Opener, Wanted
from firmware.instruments.desk import Desk
from firmware.instruments.scene import Frames


@pytest.fixture
def scene():
    """A live frame of the bench that is on the screen; what is named of it differs."""

    def make(options="", dial=None, gain=1, **changed):
        wanted = Wanted(f"bench:size=960x540,signal=yuv444-10,cloud=0{options}")
        with Opener(HandClock()).scene(wanted) as made:
            desk = Desk(dial_kelvin=dial, gain=gain)
            return replace(made, **{"frames": Frames.LIVE, "desk": desk, **changed})

    return make
