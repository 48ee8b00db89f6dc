"""Where samples go, against the words of the Exif standard and a matrix worked out by hand."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.feeds.footage import FootageFeed
from firmware.feeds.still import StillFeed
from firmware.feeds.turning import UPRIGHT, Orientation, as_shown, exif_turn
from overlays.signal.frame import Frame
from overlays.signal.signal import SignalOverride, Subsampling
from tests.clips import lying, with_orientation

# Stored 3x2 as        A B C
#                      D E F
STORED = np.array([list(b"ABC"), list(b"DEF")], np.uint8)
# CIPA DC-008, tag Orientation: the side that row 0 is, and the side that column 0 is.
SHOWN = {
    1: "ABC DEF",  # top, left
    2: "CBA FED",  # top, right
    3: "FED CBA",  # bottom, right
    4: "DEF ABC",  # bottom, left
    5: "AD BE CF",  # left, top
    6: "DA EB FC",  # right, top
    7: "FC EB DA",  # right, bottom
    8: "CF BE AD",  # left, bottom
}


def letters(plane):
    return " ".join(bytes(row).decode() for row in plane)


@pytest.mark.parametrize("orientation", SHOWN)
def test_every_orientation_of_a_jpeg(orientation):
    turn = exif_turn(with_orientation(b"\xff\xd8\xff\xd9", orientation))
    seen = as_shown((STORED, STORED, STORED), turn, Subsampling.S444, "x")
    assert [letters(plane) for plane in seen.planes] == [SHOWN[orientation]] * 3
    assert bool(seen.words) == (orientation != 1)
    assert not seen.warnings


@pytest.mark.parametrize("content", [b"", b"\xff\xd8", b"Exif\0\0", b"Exif\0\0II*\0\x08\0\0\0"])
def test_where_nothing_is_said_a_jpeg_is_upright(content):
    assert exif_turn(content) == UPRIGHT
    assert exif_turn(with_orientation(b"\xff\xd8", 9)) == UPRIGHT


turns = st.builds(Orientation, st.integers(0, 3), st.booleans())


@given(turns, st.integers(1, 6), st.integers(1, 6), st.sampled_from(Subsampling))
def test_a_turned_picture_has_the_same_samples_and_each_its_own_chroma(turn, half_c, half_r, sub):
    columns, rows = 2 * half_c, 2 * half_r
    luma = np.arange(rows * columns, dtype=np.uint16).reshape(rows, columns)
    # A sample of chroma says which luma it belongs to.
    chroma = luma[:: sub.rows, :: sub.columns].copy()
    seen = as_shown((luma, chroma, chroma), turn, sub, "x")
    shown, of_shown = seen.planes[:2]
    assert sorted(shown.ravel()) == list(range(rows * columns))
    if seen.warnings:
        assert sub is Subsampling.S422
        assert turn.is_on_side
        assert shown is luma
        return
    for row, column in itertools.product(range(shown.shape[0]), range(shown.shape[1])):
        stored_row, stored_column = divmod(int(shown[row, column]), columns)
        own = chroma[stored_row // sub.rows, stored_column // sub.columns]
        assert of_shown[row // sub.rows, column // sub.columns] == own
    if turn != UPRIGHT:
        assert not shown.flags.writeable


def test_what_cannot_be_turned_says_so():
    odd = np.zeros((3, 5), np.uint8)
    chroma = np.zeros((2, 3), np.uint8)
    seen = as_shown((odd, chroma, chroma), Orientation(2), Subsampling.S420, "a.mp4")
    (said,) = seen.warnings
    assert said.startswith("a.mp4 asks to be turned clockwise by 180 degrees, which 4:2:0 codes of")
    assert said.endswith("it is read, and shown, as it is stored")
    assert seen.planes[0] is odd


# ISO/IEC 14496-12, 8.3.2: (x, y) is shown at (a x + c y, b x + d y), y counted downwards.
@pytest.mark.parametrize(
    ("matrix", "orientation"),
    [((0, 1, -1, 0), 6), ((-1, 0, 0, -1), 3), ((0, -1, 1, 0), 8), ((-1, 0, 0, 1), 2)],
)
def test_footage_is_shown_as_its_matrix_says(tmp_path, matrix, orientation):
    feed = FootageFeed(
        lying(tmp_path / "x.mp4", matrix, columns=64, rows=48), clock=HandClock(), pace=Pace.STEP
    )
    frame = feed.read(1.0)
    assert isinstance(frame, Frame)
    expected = (48, 64) if orientation in {6, 8} else (64, 48)
    assert (frame.columns, frame.rows) == (feed.info.columns, feed.info.rows) == expected
    turn = exif_turn(with_orientation(b"", orientation))
    assert f"{turn.words} as the file asks" in feed.info.description
    assert f"{expected[0]}x{expected[1]}" in feed.info.description
    assert not any("stored" in sentence for sentence in feed.info.warnings)
    feed.close()


def test_an_odd_angle_is_left_and_told(tmp_path):
    path = lying(tmp_path / "x.mp4", (2, 1, -1, 2))
    feed = FootageFeed(path, clock=HandClock(), pace=Pace.STEP)
    feed.read(1.0)
    assert f"{path} asks to be shown at an angle: it is read, and shown, as it is stored" in (
        feed.info.warnings
    )
    feed.close()


def test_a_still_is_shown_as_its_exif_data_say(tmp_path, still, picture):
    codes = np.arange(16 * 32, dtype=np.uint8).reshape(16, 32) // 4 + 60
    half = np.full((16, 32), 128, np.uint8)
    path = still("x.jpg", "mjpeg", picture("yuvj444p", [codes, half, half], 32))

    def read():
        feed = StillFeed(path, clock=HandClock(), pace=Pace.STEP, override=SignalOverride())
        frame = feed.read(1.0)
        assert isinstance(frame, Frame)
        return feed, frame.planes[0]

    _, stored = read()
    (tmp_path / "x.jpg").write_bytes(with_orientation((tmp_path / "x.jpg").read_bytes(), 6))
    feed, shown = read()
    np.testing.assert_array_equal(shown, np.rot90(stored, -1))
    assert "turned clockwise by 90 degrees" in feed.info.description
