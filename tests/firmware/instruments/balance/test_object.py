"""`balance --json`: its keys, and what it says where there is no number."""

import jsonschema
import pytest

from firmware.commands.schema import schemas
from tests.asking import asked

BENCH = "bench:size=960x540,signal=yuv444-10"
KEYS = [
    "schema", "feed", "profile", "spot", "dial", "dial_tint", "tolerance", "cct", "cct_pm", "duv",
    "duv_pm", "r_stops", "r_stops_pm", "b_stops", "b_stops_pm", "chroma_percent",
    "chroma_percent_pm", "off_neutral", "off_neutral_pm", "mired_shift", "mired_shift_pm",
    "dial_to", "dial_to_pm", "tint", "tint_pm", "filter", "in_tolerance", "if_paper",
    "advice", "warnings",
]  # fmt: skip


def test_the_object_has_all_its_keys():
    found = asked("balance", feed=BENCH)
    assert list(found) == KEYS
    keys = {"x", "y", "size", "stops", "stops_pm", "at_least", "rgb_linear", "clipped"}
    assert set(found["spot"]) == keys
    assert found["profile"]["gamut"] == "BT.709"


def test_a_refusal_is_said_and_leaves_no_number():
    clipped = asked("balance", feed=f"{BENCH},exposure=5", dial="5600")
    assert list(clipped) == KEYS
    assert clipped["cct"] is clipped["dial_to"] is clipped["in_tolerance"] is None
    assert clipped["filter"] is clipped["if_paper"] is None
    assert any("clipped in" in sentence for sentence in clipped["warnings"])
    assert clipped["advice"] == [s for s in clipped["warnings"] if "the card is clipped" in s]


def test_without_a_dial_it_says_so():
    found = asked("balance", feed=f"{BENCH},kelvin=3200,dial=5600")
    assert found["dial"] is found["dial_tint"] is found["dial_to"] is None
    assert any(s.startswith("what to dial is not known") for s in found["warnings"])
    assert not any("_" in s for s in (*found["warnings"], *found["advice"]))


def test_what_paper_would_be_off_goes_by_the_light():
    found = asked("balance", feed=f"{BENCH},kelvin=3200,dial=3200", dial="3200")["if_paper"]
    # Under 3200 K: mired differ little from light to light, kelvin much.
    assert -300.0 < found["cream_kelvin"] < -200.0
    assert 80.0 < found["bright_kelvin"] < 130.0


def test_what_is_dialled_is_there_as_it_was_said():
    found = asked("balance", feed=f"{BENCH},dial=4300", dial="4300 K", tint="+2")
    assert found["dial"] == 4300.0
    assert found["dial_tint"] == pytest.approx(2.0)
    assert found["filter"]["name"]


def test_a_gamut_against_the_feeds_own_is_warned_of():
    found = asked("balance", feed=BENCH, gamut="V-Gamut")
    assert found["profile"]["gamut"] == "V-Gamut"
    assert any("the feed says its gamut is BT.709" in each for each in found["warnings"])


@pytest.mark.parametrize("camera", [",exposure=5", ",kelvin=3200,dial=5600", ",exposure=-9"])
def test_whatever_cannot_be_known_the_object_is_as_its_schema_says(camera):
    jsonschema.validate(asked("balance", feed=f"{BENCH}{camera}"), schemas("balance"))
