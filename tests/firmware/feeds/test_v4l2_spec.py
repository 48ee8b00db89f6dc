import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import FeedOptionError
from firmware.feeds.v4l2_spec import capture_of
from firmware.v4l2.device import Capture
from firmware.v4l2.edid import field_monitor_edid


def test_device_alone_leaves_the_rest_to_us():
    assert capture_of("/dev/video10") == Capture("/dev/video10", edid=field_monitor_edid(2))


def test_every_option():
    text = "/dev/v4l/by-id/stick,format=nv12,size=1280x720,receiver=/dev/v4l-subdev2,lanes=4"
    assert capture_of(text) == Capture(
        "/dev/v4l/by-id/stick", "/dev/v4l-subdev2", field_monitor_edid(4), "NV12", 1280, 720
    )


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "names no device"),
        ("video0", "names no device"),
        ("/dev/video0,sise=1x1", "there are format=, size=, receiver=, lanes="),
        ("/dev/video0,format", "not understood"),
        ("/dev/video0,format=GREY", "one of P010, UYVY"),
        ("/dev/video0,size=1280", "write it as size=1280x720"),
        ("/dev/video0,size=0x0", "is no size"),
        ("/dev/video0,lanes=5", "1 to 4"),
    ],
)
def test_mistakes_are_named_with_a_remedy(text, words):
    with pytest.raises(FeedOptionError, match=words):
        capture_of(text)


@given(st.text(max_size=40))
def test_any_text_gives_a_capture_or_one_sentence(text):
    try:
        capture = capture_of("/dev/video0," + text)
    except FeedOptionError:
        return
    assert capture.path == "/dev/video0"


@pytest.mark.parametrize("size", ["\u00b2x\u00b2", "640x4\u00b2", "9" * 50 + "x2", "1x1"])
def test_sizes_that_are_none_get_a_sentence(size):
    """A superscript two ended in ValueError (issue 19, item 13)."""
    with pytest.raises(FeedOptionError, match="is no size") as caught:
        capture_of(f"/dev/video0,size={size}")
    assert len(str(caught.value)) < 200
