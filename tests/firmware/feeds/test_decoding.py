import subprocess
import sys
from types import SimpleNamespace

import av
import numpy as np
import pytest

from firmware.errors import FeedFormatError, FeedNotFoundError
from firmware.feeds.decoding import (
    DAMAGED,
    bounded,
    check_file,
    empty_bits,
    faults_of,
    format_of,
    notes_of,
    open_container,
    open_picture,
    opened,
    reading_of,
    tags_of,
    video_stream,
    views_of,
)
from firmware.feeds.tags import Tags
from overlays.signal.signal import SignalOverride
from tests.clips import complaining, noisy, write
from tests.running import environment


def test_a_missing_file_a_directory_and_an_empty_file_are_told_apart(tmp_path):
    with pytest.raises(FeedNotFoundError, match="no such file"):
        check_file(str(tmp_path / "gone.mov"))
    with pytest.raises(FeedFormatError, match="is a directory"):
        check_file(str(tmp_path))
    (tmp_path / "empty.mov").touch()
    with pytest.raises(FeedFormatError, match="0 bytes"):
        check_file(str(tmp_path / "empty.mov"))
    with pytest.raises(FeedFormatError, match="is not a file"):
        check_file("/dev/null")


def test_ffmpegs_faults_become_one_sentence():
    with pytest.raises(FeedFormatError, match="cut short") as fault, faults_of("a.mov"):
        raise av.InvalidDataError(1, "Invalid data found")
    assert "invalid data found" in str(fault.value)
    with pytest.raises(FeedNotFoundError, match="permission denied"), faults_of("a.mov"):
        raise PermissionError


def test_a_colon_in_a_path_is_no_protocol(clip, steps, tmp_path):
    clip("x.mkv", "ffv1", steps(1))
    (tmp_path / "x.mkv").rename(tmp_path / "http:x.mkv")
    with opened(str(tmp_path / "http:x.mkv")) as container:
        assert video_stream(container, "x").codec_context.name == "ffv1"


def test_tags_and_planes_come_from_the_picture(clip, steps):
    path = clip("x.mkv", "ffv1", steps(1), color_range=2, colorspace=9, color_trc=18)
    container = open_container(path)
    stream = video_stream(container, path)
    frame = next(container.decode(stream))
    assert tags_of(frame, stream) == Tags(2, 9, 18)
    pixels, reading = reading_of(frame, stream, SignalOverride(), path)
    assert reading.curve.name == "HLG"
    assert (views_of(frame, pixels)[0] == 20).all()
    assert notes_of(frame) == ()
    container.close()


# ITU-T H.273 (as ISO/IEC 23091-2), tables 3 and 4: 2 is unspecified, transfer 0 is reserved.
@pytest.mark.parametrize(("transfer", "taken"), [(0, 16), (2, 16), (1, 1), (14, 14)])
@pytest.mark.parametrize(("matrix", "used"), [(2, 9), (1, 1), (5, 5)])
def test_what_a_picture_leaves_open_its_stream_says(transfer, taken, matrix, used):
    coder = SimpleNamespace(color_range=1, colorspace=9, color_trc=16, color_primaries=9)
    frame = SimpleNamespace(
        colorspace=matrix, color_trc=transfer, color_range=0, color_primaries=transfer
    )
    expected = Tags(1, used, taken, 9 if transfer in {0, 2} else transfer)
    assert tags_of(frame, SimpleNamespace(codec_context=coder)) == expected
    frame.color_range = 2
    assert tags_of(frame, SimpleNamespace(codec_context=coder)).range == 2


def test_sound_alone_is_no_footage(tmp_path):
    path = str(tmp_path / "tone.wav")
    with av.open(path, "w") as container:
        stream = container.add_stream("pcm_s16le", rate=48000, layout="mono")
        frame = av.AudioFrame.from_ndarray(np.zeros((1, 480), np.int16), layout="mono")
        frame.sample_rate = 48000
        container.mux(stream.encode(frame))
    container = open_container(path)
    with pytest.raises(FeedFormatError, match="holds no video"):
        video_stream(container, path)
    container.close()


def test_a_still_is_known_by_its_content(still, picture):
    path = still("x.mov", "png", picture("gray", [np.full((4, 6), 9, np.uint8)], 6))
    container = open_picture(check_file(path).read_bytes(), path)
    assert container.format.name == "png_pipe"
    container.close()
    with pytest.raises(FeedFormatError, match=r"a\.mov is not a picture or video"):
        open_picture(b"no picture at all", "a.mov")


class Corrupt:
    interlaced_frame, is_corrupt = False, True


def test_a_picture_that_the_decoder_made_up_says_so():
    assert notes_of(Corrupt()) == (DAMAGED,)


def lifted(path, level):
    """A 12-bit R'G'B' clip of JPEG 2000 in MXF, a ramp up to `level`."""
    with av.open(str(path), "w", format="mxf") as out:
        stream = out.add_stream("jpeg2000", rate=25)
        stream.width = stream.height = 64
        stream.pix_fmt = "gbrp12le"
        frame = av.VideoFrame(64, 64, "gbrp12le")
        for plane in frame.planes:
            lines = np.zeros((64, plane.line_size // 2), np.uint16)
            lines[:, :64] = np.linspace(0, level, 64).astype(np.uint16)
            plane.update(lines.tobytes())
        out.mux(stream.encode(frame))
        out.mux(stream.encode(None))


@pytest.mark.parametrize("level", [4095, 2000, 0])
def test_twelve_bits_lifted_into_sixteen_are_read_as_twelve(tmp_path, level):
    # the level is ours; that full scale is then 65520 is arithmetic: 4095 * 16
    lifted(tmp_path / "a.mxf", level)
    with opened(str(tmp_path / "a.mxf")) as container:
        stream = video_stream(container, "a.mxf")
        frame = next(container.decode(stream))
        pixels, reading = reading_of(frame, stream, SignalOverride(), "a.mxf")
        top = int(np.asarray(views_of(frame, pixels)[0]).max()) >> pixels.shift
    assert (pixels.bits, pixels.shift, reading.signal.bits) == (12, 4, 12)
    assert top == pytest.approx(level, abs=2)


def test_empty_bits():
    assert empty_bits(np.array([16, 4080], np.uint16)) == 4
    assert empty_bits(np.array([4, 16], np.uint16)) == 2
    assert empty_bits(np.array([64, 256], np.uint16)) == 6
    assert empty_bits(np.array([3, 16], np.uint16)) == 0
    assert empty_bits(np.array([0, 0], np.uint16)) == 4


ENDS = """
import sys
from firmware.clock import SystemClock
from firmware.feeds.base import Pace
from firmware.feeds.footage import FootageFeed

feed = FootageFeed(sys.argv[1], clock=SystemClock(), pace=Pace.STEP)
for _ in range(5):
    feed.read(1.0)
if sys.argv[2] == "closed":
    feed.close()
print("read")
"""


@pytest.mark.parametrize("how", ["closed", "left open"])
def test_a_process_ends_while_a_decoder_has_something_to_log(tmp_path, how):
    """With a logger that takes the interpreter's lock, 4 of 4 such processes never ended.

    A hundred of them, and every command, are run by tests/bench/ends.py.
    """
    path = complaining(tmp_path / "logs.mp4")
    for _ in range(8):
        done = subprocess.run(
            [sys.executable, "-c", ENDS, path, how],
            env=environment(),
            capture_output=True,
            text=True,
            timeout=30,
            check=False,
        )
        assert (done.returncode, done.stdout, done.stderr) == (0, "read\n", "")


@pytest.mark.parametrize(
    ("codec", "levels", "bits"),
    [
        ("ffv1", 4096, 12),  # many levels, all of them multiples of 16: no chance
        ("ffv1", 4, 16),  # a few may be that by chance
        ("jpeg2000", 4, 12),  # but not of what is known to lift them
        ("jpeg2000", 4096, 12),
    ],
)
def test_empty_bits_are_believed_of_many_levels_or_of_what_lifts_them(codec, levels, bits):
    frame = av.VideoFrame(64, 64, "gbrp16le")
    ramp = 16 * (np.arange(64 * 64) * 1237 % levels).astype(np.uint16).reshape(64, 64)
    for plane in frame.planes:
        lines = np.zeros((64, plane.line_size // 2), np.uint16)
        lines[:, :64] = ramp
        plane.update(lines.tobytes())
    found = format_of(frame, codec, "made")
    assert (found.bits, found.shift) == (bits, 16 - bits)


@pytest.mark.parametrize("name", ["a.mkv", "a.mp4", "a.mov", "a.avi", "a.nut"])
def test_names_and_tags_that_are_no_text_are_no_fault(tmp_path, name):
    """They ended in UnicodeDecodeError (issue 19, item 5)."""
    path = tmp_path / name
    with av.open(str(path), "w") as container:
        container.metadata["title"] = "Nachtdienst im Keller"
        stream = container.add_stream("mpeg4", rate=25)
        stream.width, stream.height, stream.pix_fmt = 64, 48, "yuv420p"
        frame = av.VideoFrame(64, 48, "yuv420p")
        container.mux([*stream.encode(frame), *stream.encode(None)])
    data = path.read_bytes()
    assert b"Nachtdienst im Keller" in data
    path.write_bytes(data.replace(b"Nachtdienst im Keller", b"N\xe4chtdienst \xff\xfe Keller"))
    with opened(str(path)) as container:
        assert "N\ufffdchtdienst" in container.metadata["title"]
        assert next(container.decode(video=0)).width == 64


@pytest.mark.parametrize(
    "fault",
    [
        UnicodeDecodeError("utf-8", b"\xff", 0, 1, "x"),
        OverflowError("x"),
        MemoryError(),
        ValueError(),
    ],
)
def test_what_the_binding_cannot_hold_is_a_damaged_header(fault):
    with pytest.raises(FeedFormatError, match="its header makes no sense"), faults_of("x.mov"):
        raise fault


def test_a_header_cannot_ask_for_any_number_of_pixels(tmp_path):
    path = tmp_path / "a.avi"
    write(path, noisy(2, 64, 48), "rawvideo")
    data = bytearray(path.read_bytes())
    at = data.index(b"strf") + 12
    data[at : at + 8] = (60_000).to_bytes(4, "little") * 2
    path.write_bytes(data)
    with opened(str(path)) as container:
        stream = video_stream(container, str(path))
        bounded(stream)
        with pytest.raises(av.FFmpegError):
            next(container.decode(stream))


def test_a_codec_that_is_none_gets_a_sentence(tmp_path):
    path = tmp_path / "a.mov"
    write(path, noisy(2, 64, 48), "mpeg4")
    path.write_bytes(path.read_bytes().replace(b"mp4v", b"zzzz").replace(b"esds", b"free"))
    with (
        opened(str(path)) as container,
        pytest.raises(FeedFormatError, match="nothing here can decode"),
    ):
        video_stream(container, str(path))
