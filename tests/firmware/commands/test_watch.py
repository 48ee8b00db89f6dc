import io
import json
from fractions import Fraction

import av
import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.commands.watch import watch
from firmware.errors import ArgumentError, QuantityError
from firmware.exposure_options import WatchOptions
from firmware.written.options import Output

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


@pytest.fixture
def take(tmp_path):
    """Twelve seconds of a flat picture that gets darker after four, with a time code or without."""

    def write(name, text, rate=Fraction(25)):
        path = str(tmp_path / name)
        with av.open(path, "w") as container:
            stream = container.add_stream("mpeg4" if name.endswith("mov") else "ffv1", rate=rate)
            stream.width, stream.height, stream.pix_fmt = 64, 48, "yuv420p"
            if text is not None:
                container.metadata["timecode"] = text
            frame = av.VideoFrame(64, 48, "yuv420p")
            noise = np.random.default_rng(3)
            for number in range(300):
                for plane, code in zip(
                    frame.planes, (120 if number < 100 else 90, 128, 128), strict=True
                ):
                    count = plane.buffer_size
                    plane.update(
                        noise.integers(code - 1, code + 2, count).astype(np.uint8).tobytes()
                    )
                frame.pts, frame.time_base = number, 1 / rate
                container.mux(stream.encode(frame))
            container.mux(stream.encode(None))
        return path

    return write


def events_of(path):
    return watched(path, spots=("0.5,0.5,32",))


def test_an_event_carries_the_takes_own_time_code(take):
    found = events_of(take("a.mkv", "09:59:58:10"))
    (event,) = found["events"]
    assert event["change"] == "step"
    # 100 frames on from 09:59:58:10 at 25 a second, by hand
    assert event["start"]["timecode"] == "10:00:02:10"
    assert found["feed"]["timecode_from"] == "file"
    assert not any("time code" in each for each in found["warnings"])


def test_drop_frame_leaves_its_numbers_out_of_events_too(take):
    found = events_of(take("a.mov", "00:00:58;00", Fraction(30_000, 1001)))
    # 60 frames to 00:00:59;29, then 00:01:00;02: the hundredth is 40 after that
    assert found["events"][0]["start"]["timecode"] == "00:01:01;12"


@pytest.mark.parametrize("text", [None, "25:00:00:00"])
def test_without_one_it_is_counted_from_the_first_frame_and_said(take, text):
    found = events_of(take("a.mkv", text))
    assert found["events"][0]["start"]["timecode"] == "00:00:04:00"
    assert found["feed"]["timecode_from"] == "first frame"
    assert any("counted from the first frame" in each for each in found["warnings"])


def test_a_change_that_the_end_cuts_off_is_said_and_is_no_event(take):
    found = watched(take("a.mkv", None), spots=("0.5,0.5,32",), frames=110)
    assert found["events"] == []
    assert found["pins"][0]["mood"] == "something changes"
    (said,) = [each for each in found["warnings"] if "changing when the watch ended" in each]
    assert said.startswith("pin 1 ")
