import csv
from pathlib import Path

import av
import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.errors import FeedFormatError, FeedNotFoundError
from firmware.feeds.base import FeedState, Pace
from firmware.feeds.decoding import INTERLACED
from firmware.feeds.footage import SKIPPED_AT_MOST, FootageFeed
from firmware.feeds.reel import Reel
from firmware.feeds.timecode import CountedFrom
from overlays.errors import FrameLayoutError
from overlays.signal.levels import code_to_percent
from overlays.signal.signal import Components, Matrix, Range, Signal, SignalOverride, Subsampling
from tests.clips import edited, flat, timed, with_two_streams, write
from tests.places import REFERENCE

TABLE = REFERENCE / "bars.csv"


def footage(path, pace=Pace.STEP, clock=None, override=None):
    return FootageFeed(
        path, clock=clock or HandClock(), pace=pace, override=override or SignalOverride()
    )


def every(feed):
    out = []
    while not isinstance(frame := feed.read(1.0), FeedState):
        out.append(frame)
    assert frame is FeedState.ENDED
    return out


def lumas(frames):
    return [int(frame.planes[0][0, 0]) for frame in frames]


@pytest.fixture
def random_frame(picture):
    def make(name, rows, columns):
        rng = np.random.default_rng(8)
        planes = []
        described = av.VideoFormat(name, columns, rows)
        for component in described.components:
            top = (1 << component.bits) - 1
            dtype = np.uint8 if component.bits == 8 else np.uint16
            planes.append(
                rng.integers(0, top + 1, (component.height, component.width)).astype(dtype)
            )
        order = [2, 0, 1] if name.startswith("gbr") else range(len(planes))
        frame = picture(name, planes, columns)
        return frame, [planes[n] for n in order] if len(planes) == 3 else planes * 3

    return make


@pytest.mark.parametrize("size", [(48, 64), (49, 65)])
@pytest.mark.parametrize(
    "name",
    [f"yuv{sub}p{bits}" for sub in ("420", "422", "444") for bits in ("", "10le", "12le", "16le")]
    + ["gbrp10le", "gbrp12le", "gbrp16le", "gray", "gray10le", "gray12le", "gray16le"],
)
def test_native_codes_come_through_untouched(clip, random_frame, name, size):
    frame, planes = random_frame(name, *size)
    path = clip("x.mkv", "ffv1", [frame], color_range=1, colorspace=1)
    feed = footage(path)
    got = feed.read(1.0)
    for view, expected in zip(got.planes, planes, strict=True):
        np.testing.assert_array_equal(view, expected)
    signal = got.signal
    assert signal == feed.info.signal
    assert (
        signal.bits == int(name.partition("p")[2].removesuffix("le") or 8)
        if "gray" not in name
        else True
    )
    assert signal.components is (
        Components.RGB if name.startswith(("gbr", "gray")) else Components.YCBCR
    )
    assert not signal.lossy
    feed.close()


def test_rows_stay_where_the_decoder_put_them(clip, steps):
    feed = footage(clip("x.mkv", "ffv1", steps(1)))
    frame = feed.read(1.0)
    assert all(plane.base is not None for plane in frame.planes)
    assert frame.planes[0].strides[0] >= frame.columns


@pytest.fixture
def bars(clip):
    """PyAV's own generator of standard bars, written without loss."""
    with av.open("smptehdbars=size=1920x1080", format="lavfi") as generator:
        frame = next(generator.decode(video=0))
        return clip("bars.mkv", "ffv1", [frame.reformat()], color_range=1, colorspace=1)


# Centres of fields on 1920x1080; layout of SMPTE RP 219 as tests/reference/bars.csv has it.
FIELDS = {"40% grey": (120, 315), "100% cyan": (120, 670), "100% blue": (1800, 670),
          "100% yellow": (120, 765), "100% red": (1800, 765)} | {
    f"75% {name}": (240 + 205 * n + 102, 315)
    for n, name in enumerate(("white", "yellow", "cyan", "green", "magenta", "red", "blue"))
}  # fmt: skip


def test_standard_bars_read_their_published_codes_and_percents(bars):
    """Codes computed from ITU-R BT.709-6; fields of SMPTE RP 219 (tests/reference/bars.csv)."""
    with TABLE.open(newline="") as file:
        rows = {row["patch"]: row for row in csv.DictReader(file)}
    frame = footage(bars).read(1.0)
    assert frame.signal == Signal(8, Range.LIMITED, Matrix.BT709, subsampling=Subsampling.S420)
    for name, (x, y) in FIELDS.items():
        luma, cb, cr = frame.planes
        codes = int(luma[y, x]), int(cb[y // 2, x // 2]), int(cr[y // 2, x // 2])
        assert codes == tuple(int(rows[name][key]) for key in ("y8", "cb8", "cr8")), name
    white = float(frame.planes[0][315, 342])
    assert code_to_percent(white, frame.signal) == pytest.approx(75.0, abs=0.25)


def test_frames_come_in_order_and_then_it_ends(clip, steps):
    feed = footage(clip("x.mkv", "ffv1", steps(5)))
    frames = every(feed)
    assert lumas(frames) == [20, 21, 22, 23, 24]
    assert [frame.time_ns for frame in frames] == [n * 40_000_000 for n in range(5)]
    said = feed.info.warnings_with(SignalOverride())
    assert said[-1].startswith("the file does not say its matrix")


def test_live_footage_starts_over_at_its_end(clip, steps):
    feed = footage(clip("x.mkv", "ffv1", steps(3)), Pace.LIVE)
    frames = [feed.read(1.0) for _ in range(7)]
    assert lumas(frames) == [20, 21, 22, 20, 21, 22, 20]
    assert [frame.number for frame in frames] == list(range(7))


def test_live_footage_skips_a_little_to_catch_up_and_slips_if_it_is_much(clip, steps):
    clock = HandClock()
    feed = footage(clip("x.mkv", "ffv1", steps(40)), Pace.LIVE, clock)
    feed.read(1.0)
    clock.move(0.125)
    assert lumas([feed.read(0.0)]) == [23]
    clock.move(0.08)
    assert lumas([feed.read(0.0)]) == [25]
    clock.move(60.0)
    frame = feed.read(0.0)
    assert frame.number == 5 + SKIPPED_AT_MOST + 1
    assert feed.read(0.0) is FeedState.NO_FRAME_YET
    before = clock.now_ns()
    assert feed.read(1.0).number == frame.number + 1
    assert clock.now_ns() - before <= 40_000_000  # the next is due a frame on, at 25 a second


def test_a_machine_that_decodes_too_slowly_to_catch_up_slips_at_once(clip, steps, monkeypatch):
    # A file of one picture is opened anew for each: 0.13 s where 0.04 were due, for 8 of them.
    clock, decoded = HandClock(), []
    feed = footage(clip("x.mkv", "ffv1", steps(1)), Pace.LIVE, clock)
    following = Reel.next

    def slowly(reel):
        clock.move(0.15)
        decoded.append(reel)
        return following(reel)

    monkeypatch.setattr(Reel, "next", slowly)
    feed.read(1.0)
    for _ in range(3):
        clock.move(0.1)  # what measuring takes, say
        before, so_far = clock.now_ns(), len(decoded)
        assert not isinstance(feed.read(0.0), FeedState)
        assert clock.now_ns() - before <= 0.7e9
        assert len(decoded) - so_far <= 4


def test_what_decodes_more_slowly_than_it_plays_is_shown_whole_at_its_own_pace(
    clip, steps, monkeypatch
):
    clock, following = HandClock(), Reel.next

    def slowly(reel):
        clock.move(0.16)  # a quarter of 25 frames a second
        return following(reel)

    monkeypatch.setattr(Reel, "next", slowly)
    feed = footage(clip("x.mkv", "ffv1", steps(12)), Pace.LIVE, clock)
    began, frames = clock.now_ns(), [feed.read(0.05) for _ in range(12)]
    assert lumas(frames) == list(range(20, 32))
    assert clock.now_ns() - began <= 1.1 * 12 * 0.16e9
    assert feed.info.takes_s == pytest.approx(0.16)
    assert [w for w in feed.info.warnings if "decodes more slowly here than it plays" in w]


def test_what_was_slow_for_a_moment_is_not_described_anew_with_every_picture(
    clip, steps, monkeypatch
):
    clock, following, pace = HandClock(), Reel.next, [0.16]

    def changing(reel):
        clock.move(pace[0])
        return following(reel)

    monkeypatch.setattr(Reel, "next", changing)
    feed = footage(clip("x.mkv", "ffv1", steps(20)), Pace.LIVE, clock)
    feed.read(0.05)
    seen = {feed.info}
    for n in range(16):
        pace[0] = 0.01 if n % 8 < 4 else 0.16
        feed.read(0.05)
        seen.add(feed.info)
    assert len(seen) <= 2  # before and after it was named


def test_what_keeps_up_is_not_called_slow_however_late_it_was_read(clip, steps, monkeypatch):
    clock, following = HandClock(), Reel.next

    def quickly(reel):
        clock.move(0.02)
        return following(reel)

    monkeypatch.setattr(Reel, "next", quickly)
    feed = footage(clip("x.mkv", "ffv1", steps(12)), Pace.LIVE, clock)
    for _ in range(8):
        clock.move(0.1)
        feed.read(0.05)
    assert feed.info.takes_s == 0.0
    assert not [w for w in feed.info.warnings if "slowly" in w]


def test_info_tells_format_rate_and_lossy_codec(clip, steps):
    feed = footage(clip("x.mp4", "mpeg4", steps(3), rate=50))
    assert feed.info.rate == 50.0
    assert feed.info.signal.lossy
    assert "mpeg4, 64x48 8-bit 4:2:0, 50 frames a second" in feed.info.description
    said = [sentence for sentence in feed.info.warnings if "discards detail" in sentence]
    assert len(said) == 1
    # What the ± covers of a codec: tests/bench/test_plus_minus.py.
    assert "the ± allows for compression that is not seen" in said[0]


def test_hlg_tag_names_the_curve(clip, steps):
    path = clip("x.mkv", "ffv1", steps(1), color_range=1, colorspace=9, color_trc=18)
    info = footage(path).info
    assert (info.curve.name, info.signal.matrix) == ("HLG", Matrix.BT2020)
    assert info.warnings_with(SignalOverride()) == ()


def test_the_users_word_is_taken_for_range_and_matrix(clip, steps):
    path = clip("x.mkv", "ffv1", steps(1), color_range=1, colorspace=1)
    feed = footage(path, override=SignalOverride(Range.FULL, Matrix.BT601))
    assert (feed.info.signal.range, feed.info.signal.matrix) == (Range.FULL, Matrix.BT601)
    assert feed.read(1.0).signal == feed.info.signal
    # What the file itself says is not forgotten: another profile may leave it at that.
    own = feed.info.signal_with(SignalOverride())
    assert (own.range, own.matrix) == (Range.LIMITED, Matrix.BT709)


def test_interlaced_footage_says_so_and_is_read_anyway(tmp_path, steps):
    path = str(tmp_path / "fields.mpg")
    with av.open(path, "w") as container:
        stream = container.add_stream(
            "mpeg2video", rate=25, options={"flags": "+ildct+ilme", "alternate_scan": "1"}
        )
        stream.width, stream.height, stream.pix_fmt = 64, 48, "yuv420p"
        for number, frame in enumerate(steps(4)):
            field = frame.reformat()
            field.pts = number
            container.mux(stream.encode(field))
        container.mux(stream.encode(None))
    feed = footage(path)
    frame = feed.read(1.0)
    assert INTERLACED in frame.notes
    assert any("interlaced" in sentence for sentence in feed.info.warnings)
    assert (frame.columns, frame.rows) == (64, 48)


def test_what_is_no_footage_is_refused_in_one_sentence(tmp_path, steps, clip):
    with pytest.raises(FeedNotFoundError, match="no such file"):
        footage(str(tmp_path / "gone.mov"))
    with pytest.raises(FeedFormatError, match="is a directory"):
        footage(str(tmp_path))
    text = tmp_path / "notes.mp4"
    text.write_text("shopping list\n" * 500)
    with pytest.raises(FeedFormatError, match=r"notes\.mp4 is not a picture or video"):
        footage(str(text))
    whole = Path(clip("whole.mp4", "mpeg4", steps(20)))
    cut = tmp_path / "cut.mp4"
    cut.write_bytes(whole.read_bytes()[:400])
    with pytest.raises(FeedFormatError, match="cut short"):
        footage(str(cut))


def test_footage_without_a_single_frame_is_refused(tmp_path, steps, clip):
    whole = Path(clip("whole.mkv", "ffv1", steps(1))).read_bytes()
    none = tmp_path / "none.mkv"
    none.write_bytes(whole[: whole.rindex(b"\xa3")])  # up to the only SimpleBlock
    with pytest.raises(FeedFormatError, match="no frame"):
        footage(str(none))


def test_footage_cut_short_is_read_as_far_as_it_goes_and_says_so(tmp_path, steps, clip):
    whole = Path(clip("whole.nut", "ffv1", steps(30, 320, 240))).read_bytes()
    cut = tmp_path / "cut.nut"
    cut.write_bytes(whole[: len(whole) // 2])
    feed = footage(str(cut))
    frames = every(feed)
    assert 0 < len(frames) < 30
    whole_mp4 = Path(clip("whole.avi", "ffv1", steps(30))).read_bytes()
    cut = tmp_path / "cut.avi"
    cut.write_bytes(whole_mp4[: len(whole_mp4) * 2 // 3])
    feed = footage(str(cut))
    frames = every(feed)
    assert 0 < len(frames) < 30
    assert any("cut short" in sentence for sentence in feed.info.warnings)


def test_damaged_packets_are_passed_over_and_told(tmp_path, steps, clip):
    data = bytearray(
        Path(clip("whole.avi", "png", [f.reformat(format="rgb24") for f in steps(6)])).read_bytes()
    )
    at = data.index(b"\x89PNG", data.index(b"\x89PNG") + 4)
    data[at : at + 8] = bytes(8)
    path = tmp_path / "damaged.avi"
    path.write_bytes(data)
    feed = footage(str(path))
    assert 0 < len(every(feed)) < 6
    assert any("damaged" in sentence for sentence in feed.info.warnings)


def test_a_picture_of_one_pixel_is_refused(clip, picture):
    one = picture("gray", [np.full((1, 1), 90, np.uint8)], 1)
    with pytest.raises(FrameLayoutError, match="1x1"):
        footage(clip("x.mkv", "ffv1", [one])).read(1.0)


@pytest.mark.parametrize(("name", "says"), [("yuva420p", "alpha"), ("bgra", "alpha")])
def test_alpha_is_refused(clip, name, says):
    frame = av.VideoFrame(16, 8, name)
    for plane in frame.planes:
        plane.update(bytes(plane.buffer_size))
    with pytest.raises(FeedFormatError, match=says):
        footage(clip("x.mkv", "ffv1", [frame]))


@pytest.mark.shared
@pytest.mark.parametrize("name", ["s01-tree-10.mov", "s02-chart24-8.mkv", "s04-forest-10.mkv"])
def test_shared_clips_open_with_their_own_depth(scenes, name):
    feed = footage(str(scenes / name))
    assert feed.info.signal.bits == (10 if "10" in name else 8)
    assert not feed.info.signal.lossy
    assert every(feed)


def test_every_frame_has_its_time_code_and_a_loop_begins_again(clip, steps):
    path = clip("x.mkv", "ffv1", steps(3), metadata={"timecode": "10:11:12:23"})
    feed = footage(path)
    assert [frame.timecode for frame in every(feed)] == [
        "10:11:12:23",
        "10:11:12:24",
        "10:11:13:00",
    ]
    assert feed.info.timecode.origin is CountedFrom.FILE
    live = footage(path, Pace.LIVE)
    seen = [live.read(1.0).timecode for _ in range(5)]
    assert seen[3:] == seen[:2]


def test_what_is_wrong_with_a_time_code_is_said_once(clip, steps):
    feed = footage(clip("x.mkv", "ffv1", steps(2), metadata={"timecode": "25:00:00:00"}))
    assert [frame.timecode for frame in every(feed)] == ["00:00:00:00", "00:00:00:01"]
    assert sum("'25:00:00:00'" in sentence for sentence in feed.info.warnings) == 1
    plain = footage(clip("y.mkv", "ffv1", steps(2)))
    assert not any("time code" in sentence for sentence in plain.info.warnings)


UNEVEN_MS = [0, 20, 80, 120, 500, 510, 1720, 1760]


def uneven(tmp_path, pace=Pace.STEP, clock=None):
    frames = [(at, flat(20 + number)) for number, at in enumerate(UNEVEN_MS)]
    return footage(timed(tmp_path / "x.mkv", frames), pace, clock)


def test_frames_have_the_times_of_the_file(tmp_path):
    feed = uneven(tmp_path)
    frames = every(feed)
    assert [frame.time_ns // 1_000_000 for frame in frames] == UNEVEN_MS
    assert frames[6].timecode == "00:00:01:18"  # 1.72 s of 25 numbers a second
    assert not any("cut short" in sentence for sentence in feed.info.warnings)
    assert "25 frames a second on the average, unevenly" in feed.info.description


def test_live_footage_is_played_at_the_times_of_the_file(tmp_path):
    clock = HandClock()
    feed, seen = uneven(tmp_path, Pace.LIVE, clock), []
    for _ in range(10):
        frame = feed.read(5.0)
        seen.append((lumas([frame])[0], clock.now_ns() // 1_000_000))
    # After its end it goes on as long as the last picture lasts, then from the beginning.
    assert seen == [*((20 + n, at) for n, at in enumerate(UNEVEN_MS)), (20, 1800), (21, 1820)]


def test_what_came_while_nobody_read_is_passed_over(tmp_path):
    clock = HandClock()
    feed = uneven(tmp_path, Pace.LIVE, clock)
    feed.read(0.0)
    clock.move(0.3)
    frame = feed.read(0.0)
    assert (lumas([frame]), frame.number, frame.time_ns) == ([23], 3, 120_000_000)
    assert feed.read(0.0) is FeedState.NO_FRAME_YET


def test_what_an_edit_list_leaves_out_is_neither_shown_nor_missed(tmp_path):
    feed = footage(edited(tmp_path / "x.mp4", 60, 10))
    assert len(every(feed)) == 50
    assert not any("cut short" in sentence for sentence in feed.info.warnings)


def test_of_several_streams_it_says_which_is_read(tmp_path):
    path = with_two_streams(tmp_path / "x.mkv")
    feed = footage(path)
    assert (feed.info.columns, feed.info.rows) == (64, 48)
    words = "holds 2 streams of pictures (64x48, 128x96): the first is read, 64x48 ffv1"
    assert f"{path} {words}" in feed.info.warnings


def test_a_codec_is_named_and_not_its_decoder(tmp_path):
    frames = [flat(60 + number) for number in range(3)]
    feed = footage(write(tmp_path / "x.mkv", frames, "libsvtav1", preset="12"))
    assert feed.info.description.startswith("av1, ")
    assert any("compressed with av1, " in sentence for sentence in feed.info.warnings)


def test_every_file_that_is_opened_is_closed_once(clip, steps, monkeypatch):
    opened, closed = [], []

    class Counted(Reel):
        def __init__(self, *args):
            super().__init__(*args)
            opened.append(self)

        def close(self):
            closed.append(self)
            super().close()

    monkeypatch.setattr("firmware.feeds.footage.Reel", Counted)
    feed = footage(clip("x.mkv", "ffv1", steps(3)), Pace.LIVE)
    assert lumas([feed.read(1.0) for _ in range(8)])[-1] == 21
    assert len(opened) == 3  # it began again twice
    assert closed == opened[:-1]
    feed.close()
    feed.close()
    assert closed == opened
