import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.errors import FeedFormatError, FeedNotFoundError, FeedOptionError
from firmware.feeds.base import FeedState, Pace
from firmware.feeds.rawframe import (
    EXTENSIONS,
    STANDARD_SIZES,
    RawFeed,
    RawSpec,
    frame_bytes,
    raw_spec,
)
from overlays.errors import FrameLayoutError
from overlays.signal.signal import Matrix, Range, Signal, SignalOverride, Subsampling


def opened(path, size=None, pace=Pace.STEP, override=None):
    spec = RawSpec(str(path), size)
    return RawFeed(spec, clock=HandClock(), pace=pace, override=override or SignalOverride())


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("a.uyvy", RawSpec("a.uyvy")),
        ("dir:x/A.NV12", RawSpec("dir:x/A.NV12")),
        ("a.yuyv:size=64X32", RawSpec("a.yuyv", (64, 32))),
        ("a.mov", None),
        ("a.mov:size=64x32", None),
        ("uyvy", None),
    ],
)
def test_spec_is_a_path_and_perhaps_a_size(text, expected):
    assert raw_spec(text) == expected


@pytest.mark.parametrize("option", ["size=64", "size=", "rate=5", "", "size=ax5"])
def test_another_option_is_refused(option):
    with pytest.raises(FeedOptionError, match="size=1920x1080"):
        raw_spec(f"a.uyvy:{option}")


# Byte orders: kernel media uAPI, "Packed YUV formats" and "NV12".
@pytest.mark.parametrize(
    ("name", "luma", "cb", "cr"),
    [("a.uyvy", [1, 3, 5, 7], [0, 4], [2, 6]), ("a.yuyv", [0, 2, 4, 6], [1, 5], [3, 7])],
)
def test_packed_bytes_lie_as_their_names_say(tmp_path, name, luma, cb, cr):
    (tmp_path / name).write_bytes(bytes(range(32)))
    frame = opened(tmp_path / name, (4, 4)).read(1.0)
    assert [plane[0].tolist() for plane in frame.planes] == [luma, cb, cr]
    assert frame.planes[0][1, 0] == luma[0] + 8
    assert frame.signal == Signal()


def test_nv12_has_pairs_of_chroma_behind_luma(tmp_path):
    (tmp_path / "a.nv12").write_bytes(bytes(range(24)))
    frame = opened(tmp_path / "a.nv12", (4, 4)).read(1.0)
    assert frame.planes[1].tolist() == [[16, 18], [20, 22]]
    assert frame.planes[2].tolist() == [[17, 19], [21, 23]]
    assert frame.signal.subsampling is Subsampling.S420


def test_size_is_told_from_the_byte_count_where_one_fits(tmp_path):
    path = tmp_path / "a.uyvy"
    path.write_bytes(bytes([128, 100]) * (1280 * 720))
    feed = opened(path)
    assert (feed.info.columns, feed.info.rows) == (1280, 720)
    size, of_range, of_matrix = feed.info.warnings_with(SignalOverride())
    assert "1280x720" in size
    assert "its range; taken as limited" in of_range
    assert "its matrix; taken as BT.709" in of_matrix
    assert feed.info.warnings_with(SignalOverride(Range.FULL)) == (size, of_matrix)


@pytest.mark.parametrize("extension", EXTENSIONS)
def test_no_two_standard_sizes_have_the_same_bytes(extension):
    counts = [frame_bytes(extension, *size) for size in STANDARD_SIZES]
    assert len(set(counts)) == len(counts)


def test_a_cut_or_odd_file_is_refused_with_the_remedy(tmp_path):
    path = tmp_path / "a.uyvy"
    path.write_bytes(bytes(1000))
    with pytest.raises(FeedFormatError, match=r"write .*a\.uyvy:size="):
        opened(path)
    with pytest.raises(
        FeedFormatError, match="1000 bytes, no whole number of 64x32 frames of 4096"
    ):
        opened(path, (64, 32))
    with pytest.raises(FeedNotFoundError):
        opened(tmp_path / "gone.uyvy")


@pytest.mark.parametrize("size", [(0, 0), (1, 1), (2, 1)])
def test_a_size_that_cannot_be_measured_is_refused(tmp_path, size):
    path = tmp_path / "a.uyvy"
    path.write_bytes(bytes(4))
    with pytest.raises((FeedFormatError, FrameLayoutError)):
        opened(path, size)


def test_several_frames_are_gone_through(tmp_path):
    path = tmp_path / "a.yuyv"
    path.write_bytes(b"".join(bytes([n]) * 32 for n in (5, 6, 7)))
    feed = opened(path, (4, 4))
    assert [int(feed.read(1.0).planes[0][0, 0]) for _ in range(3)] == [5, 6, 7]
    assert feed.read(1.0) is FeedState.ENDED
    live = opened(path, (4, 4), Pace.LIVE)
    assert [int(live.read(1.0).planes[0][0, 0]) for _ in range(5)] == [5, 6, 7, 5, 6]


def test_the_users_word_is_taken_without_a_warning(tmp_path):
    path = tmp_path / "a.uyvy"
    path.write_bytes(bytes(32))
    override = SignalOverride(Range.FULL, Matrix.BT601)
    feed = opened(path, (4, 4), override=override)
    assert (feed.info.signal.range, feed.info.signal.matrix) == (Range.FULL, Matrix.BT601)
    assert feed.info.warnings_with(override) == ()


def test_odd_width_has_a_last_pair_of_its_own(tmp_path):
    path = tmp_path / "a.uyvy"
    path.write_bytes(np.arange(2 * 12, dtype=np.uint8).tobytes())
    frame = opened(path, (5, 2)).read(1.0)
    assert (frame.columns, frame.planes[1].shape) == (5, (2, 3))


@pytest.mark.shared
def test_the_shared_raw_frame_opens_by_itself(scenes):
    feed = opened(scenes / "s01-tree-8.uyvy")
    assert (feed.info.columns, feed.info.rows) == (1280, 720)


@pytest.mark.parametrize("size", STANDARD_SIZES)
def test_a_standard_size_can_be_shared_out_by_twos(size):
    # Chroma of NV12 is a sample to two rows and two columns, that of UYVY to two columns.
    assert size[0] % 2 == size[1] % 2 == 0
    assert list(STANDARD_SIZES) == sorted(set(STANDARD_SIZES))
