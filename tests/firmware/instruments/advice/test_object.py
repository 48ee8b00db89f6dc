"""`expose --json`: as its schema says, whatever cannot be known."""

import jsonschema
import pytest

from firmware.commands.schema import schemas
from tests.asking import asked

BENCH = "bench:size=640x360,cloud=0,signal=yuv422-10"
SETTINGS = {"iso": "800", "aperture": "5.6", "nd": "0.6", "shutter": "1/50", "mains": "50 Hz"}


@pytest.mark.parametrize("exposure", [-12, -1.5, 0, 1.5, 6])
@pytest.mark.parametrize("settings", [{}, SETTINGS])
def test_whatever_is_read_the_object_is_as_its_schema_says(exposure, settings):
    found = asked("expose", feed=f"{BENCH},exposure={exposure}", **settings)
    jsonschema.validate(found, schemas("expose"))
    if found["off_stops"] is None:
        assert found["pm"] is None
        assert found["moves"] == found["together"] == []
        assert found["warnings"]


def test_settings_are_written_as_the_command_line_takes_them():
    found = asked("expose", feed=f"{BENCH},exposure=1", **SETTINGS)
    moves = {move["control"]: move for move in found["moves"]}
    assert moves["iso"]["from"] == 800
    assert isinstance(moves["iso"]["to"], int)
    assert moves["aperture"]["from"] == 5.6
    again = {name: str(move["to"]) for name, move in moves.items() if name in {"iso", "aperture"}}
    assert asked("expose", feed=BENCH, **again)["off_stops"] is not None
