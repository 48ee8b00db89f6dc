import io
import json

import pytest

from firmware.clock import HandClock
from firmware.commands.watch import watch
from firmware.errors import ArgumentError, QuantityError
from firmware.exposure_options import WatchOptions
from firmware.options import Output

BENCH = "bench:size=320x180,rate=10,curve=V-Log,signal=yuv422-10"


def watched(feed=f"{BENCH},cloud=1.5", **how):
    out = io.StringIO()
    how.setdefault("spots", ("0.06,0.5,16", "0.5,0.5,16"))
    watch(WatchOptions(feed, output=Output.JSON, **how), HandClock(), out)
    return json.loads(out.getvalue())


def test_the_cloud_is_told_from_the_card_that_stands_still():
    found = watched(seconds=60.0)
    assert found["events"]
    assert {event["change"] for event in found["events"]} == {"drift"}
    assert {pin["pin"] for event in found["events"] for pin in event["pins"]} == {1}
    assert found["events"][0]["start"]["timecode"].startswith("00:00:")
    assert found["frames"] == 601
    assert found["pins"][1]["mood"] == "steady"
    assert abs(found["pins"][1]["off"]["stops"]) < 0.02


def test_a_clear_sky_has_no_event():
    found = watched(f"{BENCH},cloud=0,noise=3", frames=900)
    assert found["events"] == []
    assert found["frames"] == 900
    assert found["tolerance"] == {"level": 0.1, "balance": 0.1}


def test_too_short_a_watch_says_so():
    found = watched(frames=5)
    assert any("before the mark was learnt" in each for each in found["warnings"])


def test_a_wider_tolerance_is_quieter():
    wide = watched(seconds=40.0, level="1 st")
    assert wide["events"] == []
    assert wide["tolerance"]["level"] == 1.0


def test_what_cannot_be_done_is_said():
    with pytest.raises(ArgumentError, match="at most 8"):
        watched(spots=("0.5,0.5",) * 9, frames=1)
    with pytest.raises(QuantityError, match="no tolerance"):
        watched(level="5 %", frames=1)


def test_for_a_person():
    out = io.StringIO()
    options = WatchOptions(f"{BENCH},cloud=1.5", spots=("0.06,0.5,16",), seconds=30.0)
    watch(options, HandClock(), out)
    assert "pin 1 drifts" in out.getvalue()
    assert "Watched 301 frames" in out.getvalue()
