"""Time code in real files, written by FFmpeg's muxers; what it counts is what we count."""

import struct
from fractions import Fraction
from pathlib import Path

import av
import pytest

from firmware.feeds.start_code import start_code
from firmware.feeds.timecode import CountedFrom, FrameCounting

NTSC30, NTSC60 = Fraction(30_000, 1001), Fraction(60_000, 1001)


@pytest.fixture
def film(tmp_path, steps):
    """Write footage with a time code on the stream or on the file; its path."""

    def write(name, rate, text, *, on_file=False, codec="mpeg4", frames=3):
        path = tmp_path / name
        with av.open(str(path), "w") as container:
            stream = container.add_stream(codec, rate=rate)
            stream.width, stream.height, stream.pix_fmt = 64, 48, "yuv420p"
            if text is not None:
                (container if on_file else stream).metadata["timecode"] = text
            for number, frame in enumerate(steps(frames)):
                frame.pts, frame.time_base = number, 1 / Fraction(rate)
                container.mux(stream.encode(frame))
            container.mux(stream.encode(None))
        return str(path)

    return write


def read(path):
    with av.open(path) as container:
        stream = container.streams.video[0]
        return start_code(container, stream, float(stream.average_rate), path)


@pytest.mark.parametrize(
    ("name", "how"),
    [
        ("a.mov", {}),
        ("a.mov", {"on_file": True}),
        ("a.mp4", {}),
        ("a.mp4", {"on_file": True}),
        ("a.mkv", {"codec": "ffv1"}),
        ("a.mkv", {"codec": "ffv1", "on_file": True}),
        ("a.mxf", {"codec": "mpeg2video"}),
    ],
)
def test_wherever_the_container_keeps_it(film, name, how):
    code, doubts = read(film(name, 25, "10:11:12:13", **how))
    assert (code.origin, doubts) == (CountedFrom.FILE, ())
    assert [code.at(n) for n in (0, 12)] == ["10:11:12:13", "10:11:13:00"]


def track_of(path):
    """The frame count in the file's time code track, as FFmpeg wrote it."""
    with av.open(path) as container:
        packet = next(container.demux(container.streams.data[0]))
        return struct.unpack(">I", bytes(packet)[:4])[0]


@pytest.mark.parametrize(
    ("rate", "text"),
    [
        (25, "00:00:00:01"),
        (25, "23:59:59:24"),
        (Fraction(24_000, 1001), "01:02:03:23"),
        (NTSC30, "00:00:59;29"),
        (NTSC30, "00:01:00;02"),
        (NTSC30, "00:09:59;29"),
        (NTSC30, "00:10:00;00"),
        (NTSC30, "01:00:00;00"),
        (NTSC30, "12:34:56;07"),
        (NTSC30, "23:59:59;29"),
        (NTSC30, "12:34:56:07"),
        (NTSC60, "00:01:00;04"),
        (NTSC60, "09:08:07;59"),
        (NTSC60, "23:59:59;59"),
        (50, "09:08:07:49"),
    ],
)
def test_ffmpeg_counts_the_same_frames(film, rate, text):
    path = film("a.mov", rate, text)
    code, doubts = read(path)
    assert doubts == ()
    assert code.start == track_of(path)
    assert code.at(0) == text
    assert code.counting.sharing == 1


def test_a_file_without_one_is_counted_from_zero(film):
    code, doubts = read(film("a.mov", 25, None))
    assert (code.origin, code.at(0), doubts) == (CountedFrom.FIRST_FRAME, "00:00:00:00", ())
    assert (
        read(film("b.mkv", 25, "  ", codec="ffv1", on_file=True))[0].origin
        is CountedFrom.FIRST_FRAME
    )


@pytest.mark.parametrize("text", ["nonsense", "99:00:00:00", "01:00:00;00", "01:00:00:25"])
def test_one_that_is_none_is_one_sentence_and_a_count_from_zero(film, text):
    code, doubts = read(film("a.mkv", 25, text, codec="ffv1", on_file=True))
    assert (code.origin, code.at(1)) == (CountedFrom.FIRST_FRAME, "00:00:00:01")
    (sentence,) = doubts
    assert repr(text) in sentence
    assert "counted from the first frame instead" in sentence


def test_a_track_that_numbers_pairs_of_frames_is_followed(film):
    """50 frames, 25 numbers a second: QuickTime File Format, "Timecode sample description"."""
    path = Path(film("a.mov", 50, "10:11:12:13"))
    data = bytearray(path.read_bytes())
    # size, 'tmcd', 6 reserved, index (2), reserved (4), flags (4), scale (4), duration (4), numbers
    entry = next(
        at
        for at in range(len(data) - 40)
        if data[at : at + 4] == b"tmcd"
        and data[at + 4 : at + 10] == bytes(6)
        and data[at + 28] == 50
    )
    duration = struct.unpack_from(">I", data, entry + 24)[0]
    struct.pack_into(">I", data, entry + 24, 2 * duration)
    data[entry + 28] = 25
    whole, pairs = FrameCounting(50).count(10, 11, 12, 13), FrameCounting(25).count(10, 11, 12, 13)
    at = data.index(struct.pack(">I", whole))
    struct.pack_into(">I", data, at, pairs)
    path.write_bytes(data)
    code, doubts = read(str(path))
    assert doubts == ()
    assert code.counting == FrameCounting(25, sharing=2)
    assert [code.at(n) for n in (0, 1, 2)] == ["10:11:12:13", "10:11:12:13", "10:11:12:14"]


def test_a_track_that_holds_nothing_leaves_the_text_alone(film):
    path = Path(film("a.mov", 25, "10:11:12:13"))
    data = bytearray(path.read_bytes())
    at = data.index(struct.pack(">I", FrameCounting(25).count(10, 11, 12, 13)))
    data[at : at + 4] = struct.pack(">I", 77)  # FFmpeg reads the text from it as well
    path.write_bytes(data)
    assert read(str(path))[0].at(0) == "00:00:03:02"
