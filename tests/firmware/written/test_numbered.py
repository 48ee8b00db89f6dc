import pytest

from firmware.written.numbered import split_feed


@pytest.mark.parametrize(
    ("text", "feed", "frame"),
    [
        ("take.mov#120", "take.mov", 120),
        ("take.mov", "take.mov", 0),
        ("v4l2:/dev/video0", "v4l2:/dev/video0", 0),
        ("a#b.mov#3", "a#b.mov", 3),
        ("a#b.mov", "a#b.mov", 0),
    ],
)
def test_a_feed_may_name_its_frame(text, feed, frame):
    assert split_feed(text) == (feed, frame)
