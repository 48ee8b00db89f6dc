import struct
import zlib
from pathlib import Path

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.errors import FeedFormatError, FeedNotFoundError
from firmware.feeds.base import FeedState, Pace
from firmware.feeds.still import StillFeed, is_still
from overlays.errors import FrameLayoutError
from overlays.signal.signal import Components, Matrix, Range, SignalOverride, Subsampling
from tests.clips import cmyk_jpeg

RNG = np.random.default_rng(11)


def opened(path, pace=Pace.STEP, override=None):
    return StillFeed(path, clock=HandClock(), pace=pace, override=override or SignalOverride())


def rgb(rows, columns, dtype):
    return RNG.integers(0, np.iinfo(dtype).max + 1, (rows, columns, 3)).astype(dtype)


@pytest.mark.parametrize("size", [(12, 16), (11, 17)])
@pytest.mark.parametrize(
    ("name", "codec", "layout", "dtype"),
    [
        ("a.png", "png", "rgb24", np.uint8),
        ("a.tif", "tiff", "rgb24", np.uint8),
        ("a.tiff", "tiff", "rgb48le", np.uint16),
        ("a.bmp", "bmp", "bgr24", np.uint8),
        ("a.dpx", "dpx", "rgb48le", np.uint16),
    ],
)
def test_rgb_is_read_as_full_range_untouched(  # noqa: PLR0917
    still, picture, name, codec, layout, dtype, size
):
    codes = rgb(size[0], size[1], dtype)
    stored = codes[:, :, ::-1] if layout == "bgr24" else codes
    feed = opened(still(name, codec, picture(layout, [stored.reshape(size[0], -1)], size[1])))
    frame = feed.read(1.0)
    for n in range(3):
        np.testing.assert_array_equal(frame.planes[n], codes[:, :, n])
    signal = feed.info.signal
    assert (signal.components, signal.range, signal.matrix) == (
        Components.RGB,
        Range.FULL,
        Matrix.BT709,
    )
    assert signal.bits == np.iinfo(dtype).bits
    assert "4:" not in feed.info.description  # how chroma is thinned out is said where there is any
    assert not signal.lossy
    assert feed.info.warnings_with(SignalOverride()) == ()
    assert feed.info.rate == 0.0
    assert feed.info.curve is None


def chunk(kind, data):
    body = kind + data
    return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))


def png(codes, colour_type, bits):
    """A PNG after ISO/IEC 15948, without any library: an outside check of the byte order."""
    rows, columns = codes.shape[:2]
    big = codes.astype(">u2" if bits == 16 else "u1")
    lines = b"".join(b"\0" + line.tobytes() for line in big)
    head = struct.pack(">IIBBBBB", columns, rows, bits, colour_type, 0, 0, 0)
    body = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(lines)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


@pytest.mark.parametrize(("bits", "dtype"), [(8, np.uint8), (16, np.uint16)])
def test_png_codes_have_the_value_the_standard_gives_them(tmp_path, bits, dtype):
    codes = rgb(6, 7, dtype)
    path = tmp_path / "a.png"
    path.write_bytes(png(codes, 2, bits))
    frame = opened(str(path)).read(1.0)
    for n in range(3):
        np.testing.assert_array_equal(frame.planes[n], codes[:, :, n])
    assert frame.signal.bits == bits


@pytest.mark.parametrize(("bits", "dtype"), [(8, np.uint8), (16, np.uint16)])
def test_grey_is_three_equal_views(tmp_path, bits, dtype):
    codes = rgb(6, 7, dtype)[:, :, 0]
    path = tmp_path / "a.png"
    path.write_bytes(png(codes, 0, bits))
    feed = opened(str(path))
    frame = feed.read(1.0)
    assert frame.planes[0] is frame.planes[1] is frame.planes[2]
    np.testing.assert_array_equal(frame.planes[0], codes)
    assert "grey" in feed.info.description


def test_jpeg_keeps_its_own_planes_full_range_bt601_and_is_lossy(still, picture):
    planes = [np.full((16, 32), 120, np.uint8), *(np.full((8, 16), n, np.uint8) for n in (90, 170))]
    feed = opened(still("a.jpg", "mjpeg", picture("yuvj420p", planes, 32)))
    signal = feed.info.signal
    # JFIF (ITU-T T.871): full range, matrix of BT.601.
    assert (signal.range, signal.matrix, signal.lossy) == (Range.FULL, Matrix.BT601, True)
    assert ", mjpeg, 32x16 8-bit 4:2:0 " in feed.info.description
    assert signal.subsampling is Subsampling.S420
    assert feed.info.is_live is False
    assert any("discards detail" in sentence for sentence in feed.info.warnings)
    for plane, code in zip(feed.read(1.0).planes, (120, 90, 170), strict=True):
        assert abs(float(plane.mean()) - code) <= 1.5


def test_a_tiff_that_names_no_range_and_no_matrix_is_read_by_its_standard(still, picture):
    # TIFF 6.0, section 21: without ReferenceBlackWhite luma has no head- or footroom, and
    # YCbCrCoefficients are those of CCIR 601 (a value from memory).
    planes = [np.full((16, 32), 120, np.uint8), *(np.full((8, 16), n, np.uint8) for n in (90, 170))]
    feed = opened(still("a.tif", "tiff", picture("yuv420p", planes, 32)))
    signal = feed.info.signal
    assert (signal.range, signal.matrix, signal.lossy) == (Range.FULL, Matrix.BT601, False)
    said = feed.info.warnings_with(SignalOverride())
    assert not any("does not say its" in sentence for sentence in said)
    for plane, code in zip(feed.read(1.0).planes, (120, 90, 170), strict=True):
        assert (plane == code).all()


def test_the_users_word_is_taken(still, picture):
    path = still("a.png", "png", picture("rgb24", [np.zeros((4, 18), np.uint8)], 6))
    signal = opened(path, override=SignalOverride(Range.LIMITED, Matrix.BT2020)).info.signal
    assert (signal.range, signal.matrix) == (Range.LIMITED, Matrix.BT2020)


def test_a_live_still_is_handed_out_again_with_fresh_times(still, picture):
    path = still("a.png", "png", picture("gray", [np.full((4, 6), 9, np.uint8)], 6))
    feed = opened(path, Pace.LIVE)
    times = [feed.read(1.0).time_ns for _ in range(3)]
    assert times == [0, 200_000_000, 400_000_000]
    assert feed.read(0.0) is FeedState.NO_FRAME_YET


@pytest.mark.parametrize(
    ("codec", "layout", "samples", "says"),
    [
        ("png", "rgba", 4, "alpha"),
        ("png", "ya8", 2, "alpha"),
        ("tiff", "rgba64le", 8, "alpha"),
        ("exr", "grayf32le", 4, "floating-point"),
        ("pfm", "grayf32le", 4, "floating-point"),
    ],
)
def test_what_holds_no_plain_codes_is_refused(still, picture, codec, layout, samples, says):
    frame = picture(layout, [np.full((4, 6 * samples), 50, np.uint8)], 6)
    path = still(f"a.{codec}", codec, frame)
    assert is_still(path)
    with pytest.raises(FeedFormatError, match=says):
        opened(path)


def test_a_radiance_picture_is_refused_before_any_decoder_sees_it(tmp_path):
    path = tmp_path / "sky.hdr"
    path.write_bytes(b"#?RADIANCE\nFORMAT=32-bit_rle_rgbe\n\n-Y 4 +X 4\n" + bytes(64))
    assert is_still(str(path))
    with pytest.raises(FeedFormatError, match="floating-point"):
        opened(str(path))


def test_a_palette_is_refused(tmp_path):
    body = chunk(b"IHDR", struct.pack(">IIBBBBB", 2, 2, 8, 3, 0, 0, 0))
    body += chunk(b"PLTE", bytes(6)) + chunk(b"IDAT", zlib.compress(b"\0\0\1\0\1\0"))
    path = tmp_path / "a.png"
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + body + chunk(b"IEND", b""))
    with pytest.raises(FeedFormatError, match="palette"):
        opened(str(path))


@pytest.mark.parametrize(
    ("name", "codec", "layout"), [("a.png", "png", "rgb24"), ("a.jpg", "mjpeg", "yuvj444p"),
                                  ("a.tif", "tiff", "rgb24"), ("a.bmp", "bmp", "bgr24")],
)  # fmt: skip
@pytest.mark.parametrize("share", [0.9, 0.5])
def test_a_still_cut_short_is_refused(  # noqa: PLR0917
    still, picture, tmp_path, name, codec, layout, share
):
    count = 3 if layout == "yuvj444p" else 1
    planes = [rgb(64, 64, np.uint8).reshape(64, -1)[:, : 192 // count] for _ in range(count)]
    data = Path(still(name, codec, picture(layout, planes, 64))).read_bytes()
    path = tmp_path / f"cut-{name}"
    path.write_bytes(data[: int(len(data) * share)])
    with pytest.raises(FeedFormatError, match="cut short"):
        opened(str(path))


def test_missing_still_and_text_are_refused(tmp_path):
    with pytest.raises(FeedNotFoundError):
        opened(str(tmp_path / "gone.png"))
    (tmp_path / "text.png").write_text("no picture\n" * 50)
    with pytest.raises(FeedFormatError, match="is not a picture"):
        opened(str(tmp_path / "text.png"))


def test_one_pixel_is_too_small(still, picture):
    with pytest.raises(FrameLayoutError, match="1x1"):
        opened(still("a.png", "png", picture("gray", [np.full((1, 1), 9, np.uint8)], 1)))


def test_video_is_no_still(clip, steps):
    assert not is_still(clip("x.mkv", "ffv1", steps(2)))
    assert not is_still(clip("x.mp4", "mpeg4", steps(2)))


def test_a_file_far_too_large_for_a_still_is_not_read(tmp_path):
    path = tmp_path / "film.png"
    with path.open("wb") as file:
        file.write(b"\x89PNG\r\n\x1a\n")
        file.truncate(6 * 10**9)  # without a block on the disk
    with pytest.raises(FeedFormatError, match=r"6\.0 GB are too much for a still"):
        opened(str(path))


def test_four_inks_are_no_alpha_channel(tmp_path, still, picture):
    (tmp_path / "x.jpg").write_bytes(cmyk_jpeg())
    with pytest.raises(FeedFormatError, match=r"x\.jpg holds four inks \(CMYK\)"):
        opened(str(tmp_path / "x.jpg"))
    path = Path(still("x.tif", "tiff", picture("rgba", [np.full((8, 64), 9, np.uint8)], 16)))
    tiff = bytearray(path.read_bytes())
    # TIFF Revision 6.0: tag 262 is PhotometricInterpretation, of which 2 is RGB and 5 separated.
    rgb_entry = struct.pack("<HHIH", 262, 3, 1, 2)
    tiff[tiff.index(rgb_entry) + 8] = 5
    path.write_bytes(tiff)
    with pytest.raises(FeedFormatError, match=r"x\.tif holds four inks"):
        opened(str(path))
