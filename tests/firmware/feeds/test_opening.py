import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.errors import FeedFormatError, FeedNotFoundError, FeedOptionError
from firmware.feeds.base import Pace
from firmware.feeds.bench.feed import BenchFeed
from firmware.feeds.footage import FootageFeed
from firmware.feeds.opening import CurveChoice, found_feed, open_feed
from firmware.feeds.rawframe import RawFeed
from firmware.feeds.still import StillFeed
from firmware.opening.overrides import Overrides
from firmware.opening.session import open_session
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.signal import Range, SignalOverride

SMALL = "bench:size=64x36"


def opened(spec, **more):
    return open_feed(spec, clock=HandClock(), pace=Pace.STEP, **more)


def test_each_kind_is_opened_by_how_it_is_written(clip, still, steps, picture, tmp_path):
    grey = picture("gray", [np.full((4, 6), 9, np.uint8)], 6)
    (tmp_path / "a.uyvy").write_bytes(bytes(32))
    assert isinstance(opened(SMALL), BenchFeed)
    assert isinstance(opened(clip("a.mkv", "ffv1", steps(1))), FootageFeed)
    assert isinstance(opened(still("a.png", "png", grey)), StillFeed)
    assert isinstance(opened(f"{tmp_path / 'a.uyvy'}:size=4x4"), RawFeed)


@pytest.mark.parametrize(
    ("name", "codec", "layout"),
    [("a.jpg", "mjpeg", "yuvj444p"), ("a.tif", "tiff", "rgb24"), ("a.bmp", "bmp", "bgr24")],
)
def test_stills_are_known_by_content_whatever_their_name(still, picture, name, codec, layout):
    planes = [np.full((8, 24 if "24" in layout else 8), 50, np.uint8)] * (
        1 if "24" in layout else 3
    )
    frame = picture(layout, planes, 8)
    assert isinstance(opened(still(name, codec, frame)), StillFeed)
    assert isinstance(opened(still("clip.mov", codec, frame)), StillFeed)


def test_curve_and_override_reach_the_bench():
    feed = opened(
        SMALL,
        override=SignalOverride(Range.FULL),
        carried=CurveChoice(published_curve("LogC4"), Carriage.NARROW),
    )
    assert feed.info.signal.range is Range.FULL
    assert (feed.info.curve.name, feed.info.carriage) == ("LogC4", Carriage.NARROW)


def test_what_is_not_there_is_said_in_one_sentence(tmp_path):
    with pytest.raises(FeedNotFoundError, match="no such file"):
        opened(str(tmp_path / "gone.mov"))
    with pytest.raises(FeedOptionError, match="unknown option"):
        opened("bench:sise=64x36")
    with pytest.raises(FeedNotFoundError, match="video987"):
        opened("v4l2:/dev/video987")
    with pytest.raises(FeedOptionError, match="names no device"):
        opened("v4l2")
    with pytest.raises(FeedNotFoundError, match="camera"):
        opened("camera")
    with pytest.raises(FeedFormatError, match="is a directory"):
        opened(str(tmp_path))


@pytest.mark.parametrize("nothing", ["", "  "])
def test_an_empty_name_is_said_to_be_empty(nothing):
    with pytest.raises(FeedNotFoundError, match="name of the feed is empty"):
        opened(nothing)


def test_a_file_called_bench_is_reached_by_its_path(still, picture, tmp_path, monkeypatch):
    still("bench", "png", picture("gray", [np.full((4, 6), 9, np.uint8)], 6))
    monkeypatch.chdir(tmp_path)
    assert isinstance(opened("./bench"), StillFeed)


def test_the_first_feed_is_the_bench_where_no_device_opens(tmp_path):
    (tmp_path / "video0").touch()
    (tmp_path / "video10").touch()
    assert found_feed(clock=HandClock(), pace=Pace.STEP, devices=tmp_path) is None
    session = open_session(
        None, None, Overrides(), clock=HandClock(), pace=Pace.STEP, devices=tmp_path
    )
    assert isinstance(session.feed, BenchFeed)
    assert session.is_stand_in
