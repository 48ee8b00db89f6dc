import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import FeedOptionError
from firmware.feeds.camera_options import CameraOptions, CameraStream, camera_options


@pytest.mark.parametrize(
    ("text", "options"),
    [
        ("", CameraOptions()),
        ("raw", CameraOptions(CameraStream.RAW)),
        ("raw,number=1,size=1281x721", CameraOptions(CameraStream.RAW, 1, (1280, 720))),
        ("number=1,number=0", CameraOptions()),
        ("size=640x480,picture", CameraOptions(CameraStream.PICTURE, 0, (640, 480))),
    ],
)
def test_what_can_be_said(text, options):
    assert camera_options(text) == options


@pytest.mark.parametrize(
    ("text", "words"),
    [("row", "there are raw, picture"), ("number=x", "not understood"), ("size=12", "1280x720")],
)
def test_mistakes_name_the_remedy(text, words):
    with pytest.raises(FeedOptionError, match=words):
        camera_options(text)


@given(st.text(max_size=30))
def test_any_text_gives_options_or_one_sentence(text):
    try:
        options = camera_options(text)
    except FeedOptionError:
        return
    assert min(options.size) >= 64


@pytest.mark.parametrize(
    "text",
    ["size=640x4\u00b2", "number=\u00b2", "number=" + "9" * 5000, "size=" + "9" * 5000 + "x64"],
)
def test_signs_and_digits_without_end_get_a_sentence(text):
    """A superscript two ended in ValueError (issue 19, item 13)."""
    with pytest.raises(FeedOptionError) as caught:
        camera_options(text)
    assert len(str(caught.value)) < 200
