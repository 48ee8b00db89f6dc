from typing import Any

import av
import pytest
from av.codec.codec import Properties, UnknownCodecError

from firmware.errors import FeedFormatError
from firmware.feeds.base import FeedInfo
from firmware.feeds.pixel_formats import FORMATS
from firmware.feeds.tags import LOSSLESS, Tags, read_tags
from overlays.signal.levels import Carriage
from overlays.signal.signal import Components, Matrix, Range, SignalOverride

NOTHING = SignalOverride()
SILENT = Tags(0, 2, 2)
TAGGED = Tags(1, 1, 1)


def read(tags, name="yuv422p10le", rows=1080, codec="ffv1", override=NOTHING):
    return read_tags(tags, FORMATS[name], rows, codec, override, "a.mov")


def said(reading, override=NOTHING):
    """What a person is told of a file, as far as they say nothing against it."""
    info = FeedInfo(
        *("x", "y", 64, 36, reading.signal, 25.0, reading.warnings),
        own=reading.own,
        doubts=reading.doubts,
    )
    return info.warnings_with(override)


# ITU-T H.273 table 4: matrix coefficients 1 is BT.709, 5 and 6 are BT.601, 9 is BT.2020 NCL.
@pytest.mark.parametrize(
    ("number", "matrix"),
    [(1, Matrix.BT709), (5, Matrix.BT601), (6, Matrix.BT601), (9, Matrix.BT2020)],
)
@pytest.mark.parametrize(("code", "span"), [(1, Range.LIMITED), (2, Range.FULL)])
def test_tags_are_believed(number, matrix, code, span):
    got = read(Tags(code, number, 2))
    assert (got.signal.matrix, got.signal.range, said(got)) == (matrix, span, ())
    assert got.signal.bits == 10


@pytest.mark.parametrize(
    ("rows", "matrix"), [(1080, Matrix.BT709), (720, Matrix.BT709), (576, Matrix.BT601)]
)
def test_a_silent_file_is_taken_as_usual_and_says_so(rows, matrix):
    got = read(SILENT, rows=rows)
    assert (got.signal.range, got.signal.matrix) == (Range.LIMITED, matrix)
    of_range, of_matrix = said(got)
    assert "does not say its range; taken as limited, override with --range" in of_range
    assert f"taken as {matrix.value}" in of_matrix
    assert said(got, SignalOverride(range=Range.FULL)) == (of_matrix,)
    assert said(got, SignalOverride(matrix=Matrix.BT601)) == (of_range,)


def test_the_users_word_goes_before_the_files_and_needs_no_warning():
    got = read(TAGGED, override=SignalOverride(Range.FULL, Matrix.BT2020))
    assert (got.signal.range, got.signal.matrix) == (Range.FULL, Matrix.BT2020)
    assert (got.own.range, got.own.matrix) == (Range.LIMITED, Matrix.BT709)
    both = SignalOverride(Range.FULL, Matrix.BT601)
    assert said(read(SILENT, override=both), both) == ()


def test_yuvj_is_full_range_by_its_name():
    assert read(Tags(0, 1, 2), "yuvj420p").signal.range is Range.FULL


def test_untagged_rgb_is_full_and_untagged_grey_limited():
    got = read(SILENT, "gbrp10le")
    assert (got.signal.range, got.signal.components) == (Range.FULL, Components.RGB)
    assert read(SILENT, "gray10le").signal.range is Range.LIMITED
    assert any("taken as full" in sentence for sentence in said(got))


# ITU-T H.273 table 3: 1 BT.709 (6, 14, 15 the same function, 11 down to black), 4 assumed display
# gamma 2.2, 13 IEC 61966-2-1, 16 PQ, 18 HLG; 8 is linear, 7 SMPTE ST 240.
@pytest.mark.parametrize(
    ("number", "name"),
    [
        *((1, "BT.709"), (6, "BT.709"), (14, "BT.709"), (16, "PQ"), (18, "HLG"), (2, None)),
        *((4, "BT.470 M"), (11, "BT.709"), (13, "sRGB"), (7, None), (8, None)),
    ],
)
def test_curve_is_named_where_the_tag_names_one(number, name):
    curve = read(Tags(1, 1, number)).curve
    assert (curve.name if curve else None) == name


@pytest.mark.parametrize(
    ("number", "says"),
    [
        *((4, "FCC"), (7, "SMPTE 240M"), (8, "YCgCo"), (10, "constant luminance")),
        (14, "ICtCp"),
    ],
)
def test_a_matrix_that_cannot_be_measured_is_refused_unless_overruled(number, says):
    with pytest.raises(FeedFormatError, match=says):
        read(Tags(1, number, 2))
    overruled = read(Tags(1, number, 2), override=SignalOverride(None, Matrix.BT709))
    assert overruled.signal.matrix is Matrix.BT709
    assert said(overruled, SignalOverride(None, Matrix.BT709)) == ()


@pytest.mark.parametrize(
    "codec", ["h264", "hevc", "prores", "dnxhd", "mjpeg", "mpeg2video", "webp"]
)
def test_codecs_that_discard_detail_are_marked(codec):
    got = read(TAGGED, codec=codec)
    assert got.signal.lossy
    assert codec in said(got)[0]


@pytest.mark.parametrize("codec", ["ffv1", "rawvideo", "v210", "png", "tiff", "huffyuv", "utvideo"])
def test_codecs_that_keep_every_code_are_not(codec):
    assert not read(TAGGED, codec=codec).signal.lossy


def test_lossless_codecs_exist_and_ffmpeg_holds_them_for_lossless():
    for name in LOSSLESS:
        try:
            codec = av.codec.Codec(name, "r")
        except UnknownCodecError:
            continue  # not in this build of FFmpeg
        assert codec.type == "video"
        properties: Any = int(codec.properties)  # PyAV's stubs take a flag's value for a flag
        kept = properties & Properties.LOSSLESS.value
        discarded = properties & Properties.LOSSY.value
        assert (bool(kept), bool(discarded)) == (True, False), name


@pytest.mark.parametrize(
    ("number", "says"),
    [
        (4, "ITU-R BT.470 System M (gamma 2.2): read as BT.470 M"),
        (11, "IEC 61966-2-4 (xvYCC): read as BT.709, which is the same down to black"),
        (13, "IEC 61966-2-1 (sRGB): read as sRGB"),
        (7, "SMPTE ST 240, which cannot be read; give --curve"),
    ],
)
def test_a_transfer_that_is_seldom_met_is_named_by_its_specification(number, says):
    (said_,) = said(read(Tags(1, 1, number)))
    assert said_ == f"the file's transfer tag names {says}"
    assert not any("transfer" in words for words in said(read(Tags(1, 1, 1))))


def test_a_tagged_curve_lies_between_black_and_the_nominal_peak():
    # ITU-T H.273 8.2 and 8.3: E' is 0 at black and 1 at the nominal peak, whatever the curve.
    assert read(Tags(1, 1, 13)).carriage is Carriage.NARROW
    assert read(Tags(1, 1, 1)).carriage is None


# ITU-T H.273 table 2: 4 is BT.470-6 System M, 11 SMPTE RP 431-2, 12 SMPTE EG 432-1, 9 BT.2020,
# 5 and 6 BT.601.
@pytest.mark.parametrize(
    ("number", "matrix", "name"),
    [
        (12, 1, "P3-D65"),
        (11, 9, "DCI-P3"),
        (9, 1, "BT.2020"),
        (6, 1, "BT.601 525"),
        (4, 1, "BT.470 M"),
        (1, 9, "BT.709"),
    ],
)
def test_primaries_other_than_the_matrixs_are_named_and_read(number, matrix, name):
    got = read(Tags(1, matrix, 1, number))
    assert got.gamut.name == name
    (words,) = said(got)
    assert words.startswith(f"the file names {name} primaries beside the ")


@pytest.mark.parametrize(
    ("number", "matrix"), [(1, 1), (2, 1), (9, 9), (5, 5), (6, 6), (1, 6), (7, 6), (7, 5)]
)
def test_primaries_that_go_with_the_matrix_need_no_word(number, matrix):
    got = read(Tags(1, matrix, 1, number))
    assert (got.gamut, said(got)) == (None, ())


def test_primaries_that_are_none_of_ours_are_named():
    (words,) = said(read(Tags(1, 1, 1, 10)))
    assert (
        words == "the file names the primaries of CIE 1931 XYZ, which cannot be read; give --gamut"
    )


@pytest.mark.parametrize(("codec", "block"), [("h264", 16), ("hevc", 0), ("ffv1", 0)])
def test_the_largest_block_is_told_of_the_codec_that_has_one_size(codec, block):
    assert read(TAGGED, codec=codec).signal.block == block
