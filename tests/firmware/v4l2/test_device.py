import errno

import pytest

from firmware.clock import HandClock
from firmware.v4l2 import ioctls, media
from firmware.v4l2.device import Capture, measurable, open_device, show_edid
from firmware.v4l2.fake import FakeBoard
from firmware.v4l2.graph import SUBDEV_S_FMT

STICK = {
    ("YUYV", 1920, 1080): 5.0,
    ("YUYV", 1280, 720): 10.0,
    ("MJPG", 1920, 1080): 30.0,
    ("MJPG", 1280, 720): 60.0,
}


def stick(rates):
    return FakeBoard(
        HandClock(), driver="uvcvideo", formats=("MJPG", "YUYV"), rates=rates, link=errno.ENOTTY
    )


def test_opened_device_knows_its_name_and_what_can_be_measured():
    device = open_device(
        FakeBoard(HandClock(), formats=("GREY", "RGB3", "UYVY")), Capture("/dev/video0")
    )
    assert (device.driver, device.card) == ("unicam", "fake bridge")
    assert device.formats == ("UYVY", "RGB3")
    assert device.tells_changes


def test_nothing_stays_open_where_opening_fails():
    board = FakeBoard(HandClock())
    board._answers.pop(ioctls.QUERYCAP)
    with pytest.raises(OSError, match="Inappropriate"):
        open_device(board, Capture(board.path))
    assert board.open_count == 0
    with pytest.raises(OSError, match="No such file"):
        open_device(FakeBoard(HandClock()), Capture("/dev/video0", receiver="/dev/v4l-subdev9"))
    assert board.open_count == 0


def test_node_that_does_not_capture_is_refused():
    board = FakeBoard(HandClock())
    board._answers[ioctls.QUERYCAP] = lambda _fd, _answer: None
    with pytest.raises(OSError, match="not a capture node") as caught:
        open_device(board, Capture(board.path))
    assert caught.value.errno == errno.ENOTTY


def test_measurable_keeps_our_order():
    assert measurable(("MJPG", "NV12", "YV12", "P010")) == ("P010", "NV12", "MJPG")


@pytest.mark.parametrize(
    ("rates", "wish", "chosen"),
    [
        # A USB 2 stick: uncompressed at 5 frames a second only, so compressed.
        (STICK, {}, ("MJPG", 1920, 1080)),
        (STICK, {"pixel_format": "YUYV"}, ("YUYV", 1920, 1080)),
        ({**STICK, ("YUYV", 1920, 1080): 60.0}, {}, ("YUYV", 1920, 1080)),
        (STICK, {"columns": 1280, "rows": 720}, ("MJPG", 1280, 720)),
        # Nothing is smooth: the most telling format.
        ({("YUYV", 640, 480): 5.0, ("MJPG", 640, 480): 10.0}, {}, ("YUYV", 640, 480)),
        # Larger than can be shown is left aside; a driver that lists nothing is left alone.
        ({("YUYV", 3840, 2160): 30.0, ("YUYV", 1280, 720): 30.0}, {}, ("YUYV", 1280, 720)),
        ({}, {}, ("YUYV", 0, 0)),
    ],
)
def test_choice_of_format_and_size(rates, wish, chosen):
    board = stick(rates)
    device = open_device(board, Capture(board.path))
    assert device.choose(Capture(board.path, **wish)) == chosen


def test_edid_goes_in_once():
    board = FakeBoard(HandClock())
    device = open_device(board, Capture(board.path))
    assert show_edid(device, bytes(256))
    assert not show_edid(device, bytes(128))
    assert len(board.edid) == 256


def test_an_input_without_edid_is_left_alone():
    board = FakeBoard(HandClock(), edid=None)
    assert not show_edid(open_device(board, Capture(board.path)), bytes(256))


def test_wait_is_bounded_and_tells_frames_from_events():
    board = FakeBoard(HandClock())
    device = open_device(board, Capture(board.path))
    assert device.wait(0.5, for_frames=True) == (False, False)
    assert board.clock.now_ns() == 500_000_000
    board.change()
    assert device.wait(0.5, for_frames=True) == (False, True)
    assert device.changed()
    assert not device.changed()


class BoardWithGraph(FakeBoard):
    """A board whose bridge is a node of its own, and whose pads want to be set."""

    pads: tuple[tuple[str, int, int], ...] = ()

    def open(self, path):
        self.path = path
        return super().open(path)

    def ioctl(self, fd, request, argument):
        if request == SUBDEV_S_FMT:
            self.pads += ((self.path, argument.pad, argument.format.width),)
            return
        super().ioctl(fd, request, argument)


def test_where_the_kernel_leaves_the_way_to_us_it_is_set_up(monkeypatch):
    way = media.Way(
        "/dev/media0",
        "/dev/v4l-subdev2",
        "/dev/video0",
        (),
        (("/dev/v4l-subdev2", 0), ("/dev/v4l-subdev0", 4)),
    )
    asked = []

    def find_way(_kernel, path):
        asked.append(path)
        return way

    monkeypatch.setattr(media, "find_way", find_way)
    board = BoardWithGraph(HandClock(), driver="rp1-cfe", formats=("RGB3", "UYVY"))
    device = open_device(board, Capture("/dev/video0"))
    assert asked == ["/dev/video0"]
    assert device.receiver_fd != device.fd
    assert device.formats == ("UYVY",)
    device.set_format("UYVY", 1280, 720)
    assert board.pads == (("/dev/v4l-subdev2", 0, 1280), ("/dev/v4l-subdev0", 4, 1280))
    device.close()
    assert board.open_count == 0


def test_other_drivers_need_no_way(monkeypatch):
    monkeypatch.setattr(media, "find_way", lambda *_: pytest.fail("not to be looked for"))
    assert open_device(FakeBoard(HandClock()), Capture("/dev/video0")).way is None


def test_whole_frames_are_asked_for_not_fields():
    """V4L2_FIELD_NONE is 1 (linux/videodev2.h, enum v4l2_field)."""
    asked = []

    class Asked(FakeBoard):
        def _set_format(self, fd, answer):
            asked.append(int(answer.fmt.pix.field))
            super()._set_format(fd, answer)

    board = Asked(HandClock(), formats=("UYVY",))
    open_device(board, Capture(board.path)).set_format("UYVY", 0, 0)
    assert asked == [1]
