"""Opening a stream: what is refused in which words, and that there is no way to anything else."""

from itertools import pairwise

import av
import av.error
import pytest

from firmware.clock import SystemClock
from firmware.errors import FeedFormatError, FeedNotFoundError, FirmwareError
from firmware.feeds import stream
from firmware.feeds.address import parse_address
from firmware.feeds.base import Pace
from firmware.feeds.opening import found_feed, open_feed
from firmware.feeds.stream import Opened, refused, stamp_ns_of
from overlays.signal.signal import SignalOverride
from tests.senders import RATE, Datagrams, RtspServer, free_port


def test_pictures_come_with_their_stamps_and_always_as_compressed():
    port = free_port()
    with Datagrams(port):
        opened = Opened(parse_address(f"udp://127.0.0.1:{port}"))
        stamps, came = [], None
        for packet in opened.packets:
            stamps.append(stamp_ns_of(packet))
            for picture in packet.decode():
                came = opened.came(picture, SignalOverride(), 5)
            if came is not None and len(stamps) > 9:
                break
        opened.close()
    steps = [after - before for before, after in pairwise(stamps)]
    assert steps == [1_000_000_000 // RATE] * len(steps)
    assert came.reading.signal.lossy
    info = came.info("name", "udp")
    assert info.is_live
    assert info.description == "h264 over udp, 160x96 8-bit 4:2:0, 50 frames a second"
    assert any("h264" in words for words in info.warnings)
    said = (*info.warnings, *(each.words for each in info.doubts))
    assert any("the stream does not say its range" in words for words in said)
    assert not any("the file" in words for words in said)


def test_what_loses_nothing_by_itself_is_read_as_compressed_too(clip, steps):
    # A container of the lossless codec stands for a stream that a network would hardly carry.
    opened = Opened.__new__(Opened)
    opened._name = "name"
    with av.open(clip("steps.mkv", "ffv1", steps(1))) as container:
        opened.stream = container.streams.video[0]
        opened.codec, opened.rate = "ffv1", 25.0
        came = opened.came(next(container.decode(opened.stream)), SignalOverride(), 0)
    assert came.reading.signal.lossy
    assert came.reading.own.lossy
    assert stream.UNSAID_LOSS in came.reading.warnings


@pytest.mark.parametrize(
    ("fault", "kind", "said"),
    [
        (
            av.error.ProtocolNotFoundError(1, "srt://h:9?passphrase=secret"),
            FeedNotFoundError,
            "built",
        ),
        (av.error.HTTPUnauthorizedError(1, "rtsp://me:secret@h/"), FeedNotFoundError, "not accept"),
        (av.error.ExitError(1, "rtsp://me:secret@h/"), FeedNotFoundError, "no stream came within"),
        (
            av.error.InvalidDataError(1, "x", "rtsp://me:secret@h/"),
            FeedFormatError,
            "no stream that",
        ),
        (OverflowError("rtsp://me:secret@h/"), FeedFormatError, "no stream that"),
        (OSError(113, "No route to host", "rtsp://me:secret@h/"), FeedNotFoundError, "no route"),
    ],
)
def test_a_refusal_is_one_sentence_without_the_address_s_secrets(fault, kind, said):
    found = refused(parse_address("rtsp://me:secret@h/"), fault)
    assert type(found) is kind
    assert said in str(found)
    assert "secret" not in str(found)


def test_srt_is_read_or_said_to_be_missing_from_the_library(monkeypatch):
    monkeypatch.setattr(stream, "OPEN_S", 0.2)
    with pytest.raises(FeedNotFoundError) as caught:
        Opened(parse_address(f"srt://127.0.0.1:{free_port()}?passphrase=secretsecret"))
    assert "secret" not in str(caught.value)
    words = str(caught.value)
    assert "built without srt://" in words or "no stream came" in words or "cannot be had" in words


def test_a_server_cannot_send_the_library_to_a_file_or_another_protocol(tmp_path, monkeypatch):
    monkeypatch.setattr(stream, "OPEN_S", 0.5)
    bait = tmp_path / "bait.ts"
    bait.write_bytes(b"G" * 188 * 20)
    for way in (f"file://{bait}", "http://127.0.0.1:9/a", "rtsp://127.0.0.1:9/a"):
        moved = f"RTSP/1.0 301 Moved\r\nCSeq: {{number}}\r\nLocation: {way}\r\n\r\n"
        with RtspServer(answers={"SETUP": moved}) as server:
            with pytest.raises((FeedNotFoundError, FeedFormatError)) as caught:
                Opened(parse_address(f"rtsp://127.0.0.1:{server.port}/a"))
            assert "bait" not in str(caught.value)


LISTS = {
    "a.m3u8": "#EXTM3U\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\nudp://127.0.0.1:{port}\n",
    "a.sdp": "v=0\ns=t\nc=IN IP4 127.0.0.1\nm=video {port} RTP/AVP 33\n",
    "a.txt": "ffconcat version 1.0\nfile 'udp://127.0.0.1:{port}'\n",
}


@pytest.mark.parametrize("name", LISTS)
def test_a_file_that_names_an_address_is_no_way_onto_the_network(tmp_path, name):
    port = free_port()
    (tmp_path / name).write_text(LISTS[name].format(port=port))
    with Datagrams(port), pytest.raises(FirmwareError):
        open_feed(str(tmp_path / name), clock=SystemClock(), pace=Pace.STEP)


def test_whoever_looks_for_a_feed_never_finds_one_on_the_network(tmp_path):
    assert found_feed(clock=SystemClock(), pace=Pace.LIVE, devices=tmp_path) is None
