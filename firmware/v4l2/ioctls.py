"""One typed function for each request made of a capture node.

Request numbers are made as `include/uapi/asm-generic/ioctl.h` makes them: direction in bits 30-31,
size of the argument in 16-29, letter in 8-15, number in 0-7.
"""

import ctypes
import errno
from collections.abc import Iterator

from firmware.v4l2 import structs
from firmware.v4l2.bounds import rate_of
from firmware.v4l2.kernel import Kernel

WRITE, READ = 1, 2

CAPTURE = 1
"""V4L2_BUF_TYPE_VIDEO_CAPTURE"""
OUTPUT = 2
"""V4L2_BUF_TYPE_VIDEO_OUTPUT"""
MMAP = 1
"""V4L2_MEMORY_MMAP"""
CAN_CAPTURE = 0x00000001
"""V4L2_CAP_VIDEO_CAPTURE"""
CAN_STREAM = 0x04000000
"""V4L2_CAP_STREAMING"""
HAS_DEVICE_CAPS = 0x80000000
"""V4L2_CAP_DEVICE_CAPS"""
FLAG_ERROR = 0x00000040
"""V4L2_BUF_FLAG_ERROR"""
FLAG_TIME_MASK = 0x0000E000
"""V4L2_BUF_FLAG_TIMESTAMP_MASK"""
FLAG_TIME_MONOTONIC = 0x00002000
"""V4L2_BUF_FLAG_TIMESTAMP_MONOTONIC"""
EVENT_SOURCE_CHANGE = 5
"""V4L2_EVENT_SOURCE_CHANGE"""
POWER_PRESENT = 0x00A00964
"""V4L2_CID_DV_RX_POWER_PRESENT: bit n is set where pad n sees the source's 5 V"""
DISCRETE = 1
"""V4L2_FRMSIZE_TYPE_DISCRETE and V4L2_FRMIVAL_TYPE_DISCRETE"""
EDID_BLOCK = 128

_ABSENT = frozenset({errno.ENOTTY, errno.EINVAL, errno.ENODATA, errno.EACCES})


def request(letter: str, direction: int, number: int, argument: type) -> int:
    """The kernel's number of a request."""
    size = ctypes.sizeof(argument)
    return direction << 30 | size << 16 | ord(letter) << 8 | number


def _video(direction: int, number: int, argument: type) -> int:
    return request("V", direction, number, argument)


QUERYCAP = _video(READ, 0, structs.Capability)
ENUM_FMT = _video(READ | WRITE, 2, structs.FormatDescription)
G_FMT = _video(READ | WRITE, 4, structs.Format)
S_FMT = _video(READ | WRITE, 5, structs.Format)
REQBUFS = _video(READ | WRITE, 8, structs.RequestBuffers)
QUERYBUF = _video(READ | WRITE, 9, structs.Buffer)
QBUF = _video(READ | WRITE, 15, structs.Buffer)
DQBUF = _video(READ | WRITE, 17, structs.Buffer)
STREAMON = _video(WRITE, 18, ctypes.c_int)
STREAMOFF = _video(WRITE, 19, ctypes.c_int)
G_CTRL = _video(READ | WRITE, 27, structs.KernelControl)
S_CTRL = _video(READ | WRITE, 28, structs.KernelControl)
G_EDID = _video(READ | WRITE, 40, structs.Edid)
S_EDID = _video(READ | WRITE, 41, structs.Edid)
ENUM_FRAMESIZES = _video(READ | WRITE, 74, structs.FrameSize)
ENUM_FRAMEINTERVALS = _video(READ | WRITE, 75, structs.FrameInterval)
S_DV_TIMINGS = _video(READ | WRITE, 87, structs.DvTimings)
G_DV_TIMINGS = _video(READ | WRITE, 88, structs.DvTimings)
DQEVENT = _video(READ, 89, structs.KernelEvent)
SUBSCRIBE_EVENT = _video(WRITE, 90, structs.EventSubscription)
QUERY_DV_TIMINGS = _video(READ, 99, structs.DvTimings)


def fourcc(name: str) -> int:
    """The four letters of a pixel format as the kernel's number."""
    return int.from_bytes(name.ljust(4).encode("ascii"), "little")


def fourcc_name(number: int) -> str:
    """The four letters of a pixel format, without trailing blanks."""
    return (number & 0x7FFFFFFF).to_bytes(4, "little").decode("ascii", "replace").strip()


def query_capability(kernel: Kernel, fd: int) -> structs.Capability:
    """What the node is (VIDIOC_QUERYCAP)."""
    answer = structs.Capability()
    kernel.ioctl(fd, QUERYCAP, answer)
    return answer


def can_capture(answer: structs.Capability) -> bool:
    """Whether this node (not another of the same device) streams captured pictures."""
    device_caps, whole = int(answer.device_caps), int(answer.capabilities)
    own = device_caps if whole & HAS_DEVICE_CAPS else whole
    return own & (CAN_CAPTURE | CAN_STREAM) == CAN_CAPTURE | CAN_STREAM


def offered_formats(kernel: Kernel, fd: int, kind: int = CAPTURE) -> tuple[str, ...]:
    """Pixel formats of the node, in the driver's order (VIDIOC_ENUM_FMT)."""
    return tuple(_offered(kernel, fd, kind))


def _offered(kernel: Kernel, fd: int, kind: int) -> Iterator[str]:
    for index in range(256):
        answer = structs.FormatDescription(index=index, type=kind)
        try:
            kernel.ioctl(fd, ENUM_FMT, answer)
        except OSError as fault:
            if fault.errno == errno.EINVAL:
                return
            raise
        yield fourcc_name(answer.pixelformat)


def get_format(kernel: Kernel, fd: int, kind: int = CAPTURE) -> structs.PixFormat:
    """The format now set (VIDIOC_G_FMT)."""
    answer = structs.Format(type=kind)
    kernel.ioctl(fd, G_FMT, answer)
    return _pix(answer)


def set_format(
    kernel: Kernel, fd: int, wanted: structs.PixFormat, kind: int = CAPTURE
) -> structs.PixFormat:
    """Ask for a format (VIDIOC_S_FMT); the driver answers with what it made of it."""
    asked = structs.Format(type=kind)
    asked.fmt.pix = wanted
    kernel.ioctl(fd, S_FMT, asked)
    return _pix(asked)


def _pix(answer: structs.Format) -> structs.PixFormat:
    return structs.PixFormat.from_buffer_copy(answer.fmt.pix)


def sizes(kernel: Kernel, fd: int, pixel_format: str) -> tuple[tuple[int, int], ...]:
    """Discrete (columns, rows) of a pixel format; empty where the driver lists none."""
    found = []
    for index in range(256):
        answer = structs.FrameSize(index=index, pixel_format=fourcc(pixel_format))
        try:
            kernel.ioctl(fd, ENUM_FRAMESIZES, answer)
        except OSError as fault:
            if fault.errno in _ABSENT:
                break
            raise
        if answer.type != DISCRETE:
            break
        found.append((answer.body[0], answer.body[1]))
    return tuple(found)


def best_rate(kernel: Kernel, fd: int, pixel_format: str, columns: int, rows: int) -> float:
    """Highest discrete frame rate of a format at a size; 0.0 where the driver lists none."""
    best = 0.0
    for index in range(256):
        answer = structs.FrameInterval(
            index=index, pixel_format=fourcc(pixel_format), width=columns, height=rows
        )
        try:
            kernel.ioctl(fd, ENUM_FRAMEINTERVALS, answer)
        except OSError as fault:
            if fault.errno in _ABSENT:
                break
            raise
        if answer.type != DISCRETE or not answer.body[0].numerator:
            break
        best = max(best, rate_of(answer.body[0].denominator, answer.body[0].numerator))
    return best


def get_timings(kernel: Kernel, fd: int) -> structs.DvTimings:
    """The timings now set (VIDIOC_G_DV_TIMINGS)."""
    answer = structs.DvTimings()
    kernel.ioctl(fd, G_DV_TIMINGS, answer)
    return answer


def set_timings(kernel: Kernel, fd: int, timings: structs.DvTimings) -> None:
    """Set the timings to receive (VIDIOC_S_DV_TIMINGS)."""
    kernel.ioctl(fd, S_DV_TIMINGS, timings)


def control(kernel: Kernel, fd: int, which: int) -> int | None:
    """Value of a control (VIDIOC_G_CTRL), or None where the node has no such control."""
    answer = structs.KernelControl(id=which)
    try:
        kernel.ioctl(fd, G_CTRL, answer)
    except OSError as fault:
        if fault.errno in _ABSENT:
            return None
        raise
    return int(answer.value)


def edid_blocks(kernel: Kernel, fd: int) -> int | None:
    """How many EDID blocks the input shows to a source; None where it has no EDID at all."""
    answer = structs.Edid()
    try:
        kernel.ioctl(fd, G_EDID, answer)
    except OSError as fault:
        if fault.errno == errno.ENODATA:
            return 0
        if fault.errno in _ABSENT:
            return None
        raise
    return int(answer.blocks)


def set_edid(kernel: Kernel, fd: int, edid: bytes) -> None:
    """Give the input an EDID (VIDIOC_S_EDID); the source sees it plugged in anew."""
    held = ctypes.create_string_buffer(edid, len(edid))
    asked = structs.Edid(blocks=len(edid) // EDID_BLOCK, edid=ctypes.addressof(held))
    kernel.ioctl(fd, S_EDID, asked)


def subscribe_source_change(kernel: Kernel, fd: int) -> bool:
    """Ask to be told when the source changes; False where the node has no such event."""
    try:
        asked = structs.EventSubscription(type=EVENT_SOURCE_CHANGE)
        kernel.ioctl(fd, SUBSCRIBE_EVENT, asked)
    except OSError as fault:
        if fault.errno in _ABSENT:
            return False
        raise
    return True


def drain_events(kernel: Kernel, fd: int) -> int:
    """Take every event that waits (VIDIOC_DQEVENT); how many told of a changed source."""
    changes = 0
    for _ in range(64):
        answer = structs.KernelEvent()
        try:
            kernel.ioctl(fd, DQEVENT, answer)
        except OSError as fault:
            if fault.errno in {errno.ENOENT, errno.EAGAIN}:
                break
            raise
        changes += answer.type == EVENT_SOURCE_CHANGE
    return changes
