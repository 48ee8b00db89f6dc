"""`chart --json`: one chart, and two looks on it."""

import jsonschema
import pytest

from firmware.commands.schema import schemas
from tests.asking import asked

BENCH = "bench:size=960x540,signal=yuv444-10"
KEYS = [
    "schema", "feed", "profile", "chart", "edition", "lab_white", "scaled_to", "gains", "held",
    "corners",
    "patches", "mean_de00", "worst", "neutral_stops", "evenness_stops", "evenness_pm",
    "middle_stops", "tones_stops", "warnings",
]  # fmt: skip
OF_PATCH = [
    "name", "x", "y", "size", "rgb_linear", "lab", "reference_lab", "de00", "de00_pm",
    "hue_error_deg", "chroma_ratio", "stops_off", "r_stops", "b_stops", "clipped", "why",
]  # fmt: skip


def test_the_object_of_one_chart():
    found = asked("chart", feed=BENCH)
    assert list(found) == KEYS
    assert list(found["patches"][0]) == OF_PATCH
    assert len(found["patches"]) == 24
    assert found["worst"] in {patch["name"] for patch in found["patches"]}
    assert len(found["neutral_stops"]) == 6
    assert found["evenness_stops"] < 0.02
    assert found["mean_de00"] < 0.3
    assert found["profile"]["gamut"] == "BT.709"
    assert found["held"] == "upright"


def test_a_clipped_patch_has_no_colour():
    found = asked("chart", feed=f"{BENCH},exposure=0.7")
    (patch,) = [each for each in found["patches"] if each["name"] == "N9.5"]
    assert patch["clipped"] > 0.0
    for key in ("lab", "de00", "de00_pm", "hue_error_deg", "chroma_ratio", "stops_off"):
        assert patch[key] is None
    assert any("clipped" in warning for warning in found["warnings"])


def test_two_looks_come_behind():
    # The second camera is said to send BT.709, and sends V-Gamut: it looks pale.
    pale = f"{BENCH},gamut=V-Gamut"
    found = asked("chart", feed=BENCH, against=pale, gamut="BT.709")
    assert list(found) == [*KEYS, "against", "looks"]
    assert list(found["against"]) == KEYS[1:]
    assert found["against"]["profile"]["gamut"] == "BT.709"
    looks = found["looks"]
    assert list(looks) == ["mean_de00", "hues", "patches", "warnings"]
    assert list(looks["hues"][0]) == ["hue", "patches", "saturation", "turn_deg", "lightness"]
    changes = ["name", "hue", "saturation", "turn_deg", "lightness", "de00"]
    assert list(looks["patches"][0]) == changes
    assert {hue["hue"] for hue in looks["hues"]} >= {"red", "green", "blue"}
    assert all(hue["saturation"] < 0.9 for hue in looks["hues"])
    of_grey = [patch for patch in looks["patches"] if patch["hue"] == "neutral"]
    assert all(patch["saturation"] is patch["turn_deg"] is None for patch in of_grey)


def test_a_gamut_against_the_feeds_own_is_warned_of_with_the_look_it_concerns():
    pale = f"{BENCH},gamut=V-Gamut"
    found = asked("chart", feed=BENCH, against=pale, gamut="BT.709")
    doubt = "the feed says its gamut is V-Gamut, it is read as BT.709"
    assert not any(doubt in each for each in found["warnings"])
    assert any(doubt in each for each in found["against"]["warnings"])


def test_what_does_not_fit_the_greys_stays_where_only_exposure_is_evened_out():
    warm = f"{BENCH},kelvin=3200,dial=5600"
    evened = asked("chart", feed=warm)
    kept = asked("chart", feed=warm, scale="exposure")
    assert kept["scaled_to"] == "exposure"
    assert kept["gains"] == [pytest.approx(kept["gains"][0])] * 3
    assert kept["mean_de00"] > 2.0 * evened["mean_de00"]


def test_whatever_cannot_be_known_the_object_is_as_its_schema_says():
    clipped = f"{BENCH},exposure=0.7"
    jsonschema.validate(asked("chart", feed=clipped, against=BENCH), schemas("chart"))
