"""A fake capture board: the kernel's answers, with the kernel's own structures.

It stands in for `SystemKernel` at the lowest seam, so that every storey above runs in a test as it
runs on a board. Time passes only by its clock.
"""

import ctypes
import errno
import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from firmware.clock import HandClock
from firmware.v4l2 import ioctls, structs
from firmware.v4l2.fake_buffers import FakeBuffers
from firmware.v4l2.fake_timings import timing
from firmware.v4l2.kernel import Ready

Answer = Callable[[int, Any], None]


@dataclass
class FakeBoard:
    """A capture board.

    Attributes
    ----------
    clock:
        Moved on by every wait that ends without news.
    path, driver, card, formats:
        What it calls itself and offers.
    link:
        Errno of VIDIOC_QUERY_DV_TIMINGS; 0 is a locked signal, ENOTTY a stick without timings.
    cable:
        Name of the timings on the cable.
    power:
        Value of the power-present control; None where there is none.
    rates:
        Frame rates listed for (format, columns, rows).
    edid:
        What has been set; b"" is a receiver without one, None one that takes none.
    padding:
        Bytes added to each row.
    present:
        Whether the device is there at all.
    refused:
        Errnos with which the next starts of the stream are refused, one each.
    requests:
        Every request made, by number, in order.
    """

    clock: HandClock
    path: str = "/dev/video0"
    driver: str = "unicam"
    card: str = "fake bridge"
    formats: tuple[str, ...] = ("RGB3", "UYVY")
    link: int = 0
    cable: str = "1080p25"
    power: int | None = 1
    rates: dict[tuple[str, int, int], float] = field(default_factory=dict)
    edid: bytes | None = b""
    padding: int = 0
    refused: list[int] = field(default_factory=list)
    present: bool = True
    whole_fields: int = 1
    requests: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._fds: set[int] = set()
        self._next_fd = 10
        self._pix = structs.PixFormat(
            width=640, height=480, pixelformat=ioctls.fourcc(self.formats[0]), field=1
        )
        self._events = 0
        self._buffers = FakeBuffers()
        self.received = timing("1080p60")
        self._answers: dict[int, Answer] = {
            ioctls.QUERYCAP: self._query_capability,
            ioctls.ENUM_FMT: self._enumerate_formats,
            ioctls.ENUM_FRAMESIZES: self._enumerate_sizes,
            ioctls.ENUM_FRAMEINTERVALS: self._enumerate_rates,
            ioctls.G_FMT: self._get_format,
            ioctls.S_FMT: self._set_format,
            ioctls.REQBUFS: self._request_buffers,
            ioctls.QUERYBUF: self._buffers.describe,
            ioctls.QBUF: self._buffers.queue,
            ioctls.DQBUF: self._buffers.dequeue,
            ioctls.STREAMON: self._buffers.stream_on,
            ioctls.STREAMOFF: self._buffers.stream_off,
            ioctls.G_CTRL: self._get_control,
            ioctls.G_EDID: self._get_edid,
            ioctls.S_EDID: self._set_edid,
            ioctls.QUERY_DV_TIMINGS: self._query_timings,
            ioctls.S_DV_TIMINGS: self._set_timings,
            ioctls.SUBSCRIBE_EVENT: self._subscribe,
            ioctls.DQEVENT: self._dequeue_event,
        }

    # -- what a test does to it ------------------------------------------------------------------

    def show(
        self,
        data: bytes,
        flags: int = ioctls.FLAG_TIME_MONOTONIC,
        sequence: int | None = None,
        used: int | None = None,
    ) -> None:
        """Fill the next queued buffer; without one the picture is lost, as on a board."""
        buffer = structs.Buffer(flags=flags, bytesused=len(data) if used is None else used)
        buffer.timestamp.seconds, rest = divmod(self.clock.now_ns(), 1_000_000_000)
        buffer.timestamp.microseconds = rest // 1000
        self._buffers.fill(data, buffer, sequence)

    def change(self, *, link: int = 0, cable: str | None = None, power: int | None = None) -> None:
        """Something happens to the cable, and the driver tells of it."""
        self.link, self.cable = link, cable or self.cable
        self.power = power if power is not None else self.power
        self._events += 1

    def pull(self) -> None:
        """The device is pulled out."""
        self.present = False
        self._buffers.streaming = False

    def bring_back(self) -> None:
        """The device is plugged in again, with nothing set."""
        self.present = True
        self._fds.clear()
        self._buffers.request(0, 0)

    @property
    def open_count(self) -> int:
        """Descriptors not closed yet."""
        return len(self._fds)

    @property
    def queued_count(self) -> int:
        """Buffers in the driver's hands, empty or filled."""
        return self._buffers.count

    @property
    def maps(self) -> list[bytearray]:
        """Memory of the buffers now requested."""
        return self._buffers.maps

    @property
    def streaming(self) -> bool:
        """Whether the stream runs."""
        return self._buffers.streaming

    def picture_size(self) -> int:
        """Bytes of a whole picture of the format now set."""
        return int(self._pix.sizeimage)

    # -- the five calls --------------------------------------------------------------------------

    def open(self, path: str) -> int:
        """Open the board's node."""
        if path != self.path or not self.present:
            raise OSError(errno.ENOENT, "No such file or directory")
        self._next_fd += 1
        self._fds.add(self._next_fd)
        return self._next_fd

    def close(self, fd: int) -> None:
        """Close a descriptor, once; the last one takes the buffers along."""
        self._fds.discard(fd)
        if not self._fds:
            self._buffers.request(0, 0)

    def ioctl(self, fd: int, request: int, argument: ctypes.Structure | ctypes.c_int) -> None:
        """Answer a request as the kernel would."""
        self.requests.append(request)
        if request == ioctls.STREAMON and self.refused:
            number = self.refused.pop(0)
            raise OSError(number, os.strerror(number))
        if not self.present:
            raise OSError(errno.ENODEV, "No such device")
        if fd not in self._fds:
            raise OSError(errno.EBADF, "Bad file descriptor")
        answer = self._answers.get(request)
        if answer is None:
            raise OSError(errno.ENOTTY, "Inappropriate ioctl for device")
        answer(fd, argument)

    def mmap(self, fd: int, length: int, offset: int) -> bytearray:
        """Memory of a buffer."""
        if fd not in self._fds or length != len(self.maps[offset]):
            raise OSError(errno.EINVAL, "Invalid argument")
        return self.maps[offset]

    def select(
        self, readable: Sequence[int], exceptional: Sequence[int], timeout_s: float
    ) -> Ready:
        """What is ready; where nothing is, the time asked for passes."""
        ready = list(readable) if self._buffers.has_filled or not self.present else []
        events = list(exceptional) if self._events or not self.present else []
        if not ready and not events:
            self.clock.move(timeout_s)
        return ready, events

    # -- answers ---------------------------------------------------------------------------------

    def _query_capability(self, _fd: int, answer: structs.Capability) -> None:
        answer.driver, answer.card = self.driver.encode(), self.card.encode()
        answer.capabilities = ioctls.CAN_CAPTURE | ioctls.CAN_STREAM

    def _enumerate_formats(self, _fd: int, answer: structs.FormatDescription) -> None:
        if answer.index >= len(self.formats):
            raise OSError(errno.EINVAL, "Invalid argument")
        answer.pixelformat = ioctls.fourcc(self.formats[answer.index])

    def _listed(self, pixel_format: int) -> list[tuple[int, int]]:
        name = ioctls.fourcc_name(pixel_format)
        return [(columns, rows) for listed, columns, rows in self.rates if listed == name]

    def _enumerate_sizes(self, _fd: int, answer: structs.FrameSize) -> None:
        listed = self._listed(answer.pixel_format)
        if answer.index >= len(listed):
            raise OSError(errno.EINVAL, "Invalid argument")
        answer.type = ioctls.DISCRETE
        answer.body[0], answer.body[1] = listed[answer.index]

    def _enumerate_rates(self, _fd: int, answer: structs.FrameInterval) -> None:
        key = (ioctls.fourcc_name(answer.pixel_format), answer.width, answer.height)
        if answer.index > 0 or key not in self.rates:
            raise OSError(errno.EINVAL, "Invalid argument")
        answer.type = ioctls.DISCRETE
        answer.body[0] = structs.Fract(1000, round(self.rates[key] * 1000))

    def _get_format(self, _fd: int, answer: structs.Format) -> None:
        answer.fmt.pix = self._pix

    def _set_format(self, _fd: int, answer: structs.Format) -> None:
        if self.streaming or self.maps:  # as drivers with the kernel's own queues (videobuf2) do
            raise OSError(errno.EBUSY, "Device or resource busy")
        pix = answer.fmt.pix
        if self.link != errno.ENOTTY:
            pix.width, pix.height = self.received.u.bt.width, self.received.u.bt.height
        name = ioctls.fourcc_name(pix.pixelformat)
        width = {"UYVY": 2, "YUYV": 2, "RGB3": 3, "BGR3": 3, "P010": 2}.get(name, 1)
        rows = pix.height * 3 // 2 if name in {"NV12", "YU12", "P010"} else pix.height
        pix.bytesperline = pix.width * width + self.padding
        pix.sizeimage = pix.bytesperline * rows
        pix.field = self.whole_fields
        self._pix = structs.PixFormat.from_buffer_copy(pix)

    def _request_buffers(self, _fd: int, answer: structs.RequestBuffers) -> None:
        self._buffers.request(answer.count, self._pix.sizeimage)

    def _get_control(self, _fd: int, answer: structs.KernelControl) -> None:
        if self.power is None or answer.id != ioctls.POWER_PRESENT:
            raise OSError(errno.EINVAL, "Invalid argument")
        answer.value = self.power

    def _get_edid(self, _fd: int, answer: structs.Edid) -> None:
        if self.edid is None:
            raise OSError(errno.ENOTTY, "Inappropriate ioctl for device")
        if not self.edid:
            raise OSError(errno.ENODATA, "No data available")
        answer.blocks = len(self.edid) // ioctls.EDID_BLOCK

    def _set_edid(self, _fd: int, answer: structs.Edid) -> None:
        self.edid = ctypes.string_at(answer.edid, answer.blocks * ioctls.EDID_BLOCK)

    def _query_timings(self, _fd: int, answer: structs.DvTimings) -> None:
        if self.link in {0, errno.ERANGE}:
            ctypes.pointer(answer)[0] = timing(self.cable)
        if self.link:
            raise OSError(self.link, "no usable signal")

    def _set_timings(self, _fd: int, answer: structs.DvTimings) -> None:
        if self.streaming:
            raise OSError(errno.EBUSY, "Device or resource busy")
        self.received = structs.DvTimings.from_buffer_copy(answer)

    def _subscribe(self, _fd: int, _answer: structs.EventSubscription) -> None:
        if self.link == errno.ENOTTY:
            raise OSError(errno.EINVAL, "Invalid argument")

    def _dequeue_event(self, _fd: int, answer: structs.KernelEvent) -> None:
        if not self._events:
            raise OSError(errno.ENOENT, "No such file or directory")
        self._events -= 1
        answer.type, answer.u.changes = ioctls.EVENT_SOURCE_CHANGE, 1
