"""Where an answer comes from, for the tests of what is said of it."""

import pytest

from firmware.answers.origin import Origin
from firmware.profiles.shelf import load_profile
from overlays.signal.gamuts import published_gamut


@pytest.fixture
def origin(info):
    """The origin of a frame of a fake feed, read with a profile or the name of one."""

    def made(profile="log-v", **how):
        found = info(**how)
        profile = load_profile(profile) if isinstance(profile, str) else profile
        return Origin(found, profile, published_gamut("V-Gamut"), found.signal, 96, 64, 7)

    return made
