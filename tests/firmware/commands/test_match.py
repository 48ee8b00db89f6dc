"""`match` on two benches: what it advises is set on B and read again."""

import io
import json
import xml.etree.ElementTree as ET

import pytest

from firmware.clock import HandClock
from firmware.commands.match import match
from firmware.errors import ArgumentError
from firmware.exposure_options import MatchOptions
from firmware.written.options import Output

SIZE = "size=640x360,cloud=0,signal=yuv422-10"
A = f"bench:{SIZE},curve=V-Log"
PINS = ("320,180,20", "390,156,20", "250,150,12", "250,177,12")


def matched(b, **how):
    out = io.StringIO()
    options = MatchOptions(A, b, spots=PINS, output=Output.JSON, gamut_b="BT.709", **how)
    match(options, HandClock(), out)
    return json.loads(out.getvalue())


def camera_b(exposure, dial):
    return f"bench:{SIZE},curve=S-Log3,exposure={exposure:.4f},dial={dial:.1f},seed=3"


def test_followed_on_the_bench_the_pins_agree_within_a_twentieth_of_a_stop():
    exposure, dial = -0.7, 4500.0
    first = matched(camera_b(exposure, dial), dial_b=f"{dial}")
    dial = first["balance"]["dial_to"]
    second = matched(camera_b(exposure, dial), dial_b=f"{dial}")
    exposure += second["exposure_stops"]
    dial = second["balance"]["dial_to"]
    last = matched(camera_b(exposure, dial), dial_b=f"{dial}")
    for pin in last["pins"]:
        assert all(abs(each) < 0.05 for each in pin["difference_stops"].values())
    assert "agrees with A" in last["advice"][0]


def test_the_keys_of_the_object():
    found = matched(camera_b(-0.5, 5600.0))
    assert list(found) == [
        "schema",
        "a",
        "b",
        "pins",
        "exposure_stops",
        "exposure_pm",
        "balance",
        "remains_stops",
        "cdl",
        "advice",
        "warnings",
    ]
    assert found["balance"]["dial_to"] is None
    assert any("--dial-b" in each for each in found["warnings"])


@pytest.mark.parametrize("ending", ["cc", "cdl"])
def test_what_remains_is_written(tmp_path, ending):
    path = tmp_path / f"b to a.{ending}"
    matched(camera_b(-0.5, 5600.0), cdl=path)
    root = ET.fromstring(path.read_bytes())
    correction = root if ending == "cc" else root[0][0]
    assert correction.get("id") == "b to a"
    assert "S-Log3" in path.read_text()


def test_as_many_pins_on_both():
    with pytest.raises(ArgumentError, match="as many --at-b"):
        matched(camera_b(0.0, 5600.0), spots_b=("320,180",))


def test_for_a_person():
    out = io.StringIO()
    options = MatchOptions(A, camera_b(-0.7, 5600.0), spots=PINS)
    match(options, HandClock(), out)
    assert "Open B by 0.7" in out.getvalue()
    assert "Pin 4: B against A -0.7" in out.getvalue()
