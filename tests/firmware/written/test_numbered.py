import pytest

from firmware.written.numbered import split_feed, split_place


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


@pytest.mark.parametrize(
    ("text", "feed", "place"),
    [
        ("take.mov#120@0.6,0.43", "take.mov#120", "0.6,0.43"),
        ("bench:curve=V-Log@640,200,48x40", "bench:curve=V-Log", "640,200,48x40"),
        ("me@home.mov", "me@home.mov", None),
        ("a@1,2@3,4", "a@1,2", "3,4"),
        ("take.mov@2", "take.mov@2", None),
    ],
)
def test_a_feed_may_say_where_in_it_to_read(text, feed, place):
    assert split_place(text) == (feed, place)
