"""Bench feeds of cap, card, clip and darkened card: what one would point a camera at."""

import pytest

SMALL = "bench:size=320x180,cloud=0"
WHITE = "0.608,0.4315,8"


@pytest.fixture
def cap_card_clip():
    """Feeds for the options of the command, of a bench with some options."""

    def made(more="", base=SMALL):
        return {
            "cap": f"{base},exposure=-12{more}",
            "card": f"{base}{more}",
            "clip": f"{base},exposure=7{more}",
            "dark": f"{base},exposure=-4{more}",
        }

    return made
