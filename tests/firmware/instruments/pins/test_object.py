"""`pins --json`: as its schema says, whatever cannot be known."""

import jsonschema
import pytest

from firmware.commands.schema import schemas
from tests.asking import asked

FEED = "bench:size=640x360,cloud=0,signal=yuv422-10,curve=V-Log"
PLACES = ("390,156,20", "320,180,20", "390,204,20")


@pytest.mark.parametrize("camera", ["", ",exposure=-12", ",exposure=6"])
@pytest.mark.parametrize("how", [{"at": PLACES}, {"even": "320,180,60,60"}])
def test_whatever_is_read_the_object_is_as_its_schema_says(camera, how):
    jsonschema.validate(asked("pins", feed=f"{FEED}{camera}", **how), schemas("pins"))


def test_every_pair_of_pins_has_its_ratio():
    found = asked("pins", feed=FEED, at=PLACES)
    assert [pin["pin"] for pin in found["pins"]] == [1, 2, 3]
    assert [ratio["pins"] for ratio in found["ratios"]] == [[1, 2], [1, 3], [2, 3]]
    one, both, other = (ratio["stops"] for ratio in found["ratios"])
    assert both == pytest.approx(one + other, abs=1e-5)
    for ratio in found["ratios"]:
        assert ratio["ratio"] == pytest.approx(2.0 ** ratio["stops"], rel=1e-4)
    assert found["evenness"] is None


def test_a_ratio_that_cannot_be_known_is_null_with_a_sentence():
    found = asked("pins", feed=f"{FEED},exposure=-12", at=PLACES)
    assert found["pins"][2]["stops"] is None  # the black card
    for dark in found["ratios"][1:]:
        assert dark["pins"][1] == 3
        assert [dark[key] for key in ("stops", "pm", "ratio", "key_over_fill_stops")] == [None] * 4
    assert any(warning.startswith("pin 3: no light") for warning in found["warnings"])


def test_warnings_of_an_area_are_there_once():
    found = asked("pins", feed=f"{FEED},exposure=-12", even="320,180,60,60")
    assert found["evenness"]["within_stops"] is None
    assert len(found["warnings"]) == len(set(found["warnings"]))
    assert any("no light above black" in warning for warning in found["warnings"])
