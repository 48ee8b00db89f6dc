"""`chips --json`: as its schema says, whatever cannot be known."""

import jsonschema
import pytest

from firmware.commands.schema import schemas
from tests.asking import asked

CHIPS = ("390,156,20", "320,180,20", "390,204,20")  # the bench's cards at 640x360
FEED = "bench:size=640x360,cloud=0,signal=yuv422-10"


@pytest.mark.parametrize("camera", [",exposure=-12", ",exposure=-1", "", ",exposure=6"])
@pytest.mark.parametrize("curve", ["V-Log", "BT.709"])
def test_whatever_is_read_the_object_is_as_its_schema_says(camera, curve):
    found = asked("chips", feed=f"{FEED},curve={curve}{camera}", at=CHIPS)
    jsonschema.validate(found, schemas("chips"))
    for chip in found["chips"]:
        assert (chip["in_tolerance"] is None) == (chip["off"] is None)
        assert chip["target"].endswith(chip["unit"])
        assert not chip["within"].startswith("+")
    assert len(found["warnings"]) == len(set(found["warnings"]))


def test_a_chip_without_light_is_null_and_not_in_tolerance():
    found = asked("chips", feed=f"{FEED},curve=V-Log,exposure=-12", at=CHIPS)
    white, _, black = found["chips"]
    assert black["stops"] is black["off"] is black["off_pm"] is black["in_tolerance"] is None
    assert white["in_tolerance"] is found["in_tolerance"] is False
