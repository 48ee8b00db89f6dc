"""The kernel's structures, field by field, in the layout of 64-bit Linux.

Names and order are those of `include/uapi/linux/videodev2.h`; the test compares sizes and offsets
with what the C compiler makes of that header.
"""

import ctypes
from ctypes import c_char, c_int32, c_long, c_uint8, c_uint32, c_uint64, c_void_p


class Fract(ctypes.Structure):
    """`v4l2_fract`."""

    _fields_ = (("numerator", c_uint32), ("denominator", c_uint32))


class Capability(ctypes.Structure):
    """`v4l2_capability`."""

    _fields_ = (
        ("driver", c_char * 16),
        ("card", c_char * 32),
        ("bus_info", c_char * 32),
        ("version", c_uint32),
        ("capabilities", c_uint32),
        ("device_caps", c_uint32),
        ("reserved", c_uint32 * 3),
    )


class FormatDescription(ctypes.Structure):
    """`v4l2_fmtdesc`."""

    _fields_ = (
        ("index", c_uint32),
        ("type", c_uint32),
        ("flags", c_uint32),
        ("description", c_char * 32),
        ("pixelformat", c_uint32),
        ("mbus_code", c_uint32),
        ("reserved", c_uint32 * 3),
    )


class PixFormat(ctypes.Structure):
    """`v4l2_pix_format`."""

    _fields_ = (
        ("width", c_uint32),
        ("height", c_uint32),
        ("pixelformat", c_uint32),
        ("field", c_uint32),
        ("bytesperline", c_uint32),
        ("sizeimage", c_uint32),
        ("colorspace", c_uint32),
        ("priv", c_uint32),
        ("flags", c_uint32),
        ("ycbcr_enc", c_uint32),
        ("quantization", c_uint32),
        ("xfer_func", c_uint32),
    )


class _FormatUnion(ctypes.Union):
    # The kernel's union also holds a pointer (in v4l2_window), hence its alignment of 8.
    _fields_ = (("pix", PixFormat), ("raw", c_uint8 * 200), ("_align", c_void_p))


class Format(ctypes.Structure):
    """`v4l2_format`, of which only the single-planar member is used here."""

    _fields_ = (("type", c_uint32), ("fmt", _FormatUnion))


class FrameSize(ctypes.Structure):
    """`v4l2_frmsizeenum`; `body` is width and height where the type is 1 (discrete)."""

    _fields_ = (
        ("index", c_uint32),
        ("pixel_format", c_uint32),
        ("type", c_uint32),
        ("body", c_uint32 * 6),
        ("reserved", c_uint32 * 2),
    )


class FrameInterval(ctypes.Structure):
    """`v4l2_frmivalenum`; `body[0]` is the interval where the type is 1 (discrete)."""

    _fields_ = (
        ("index", c_uint32),
        ("pixel_format", c_uint32),
        ("width", c_uint32),
        ("height", c_uint32),
        ("type", c_uint32),
        ("body", Fract * 3),
        ("reserved", c_uint32 * 2),
    )


class RequestBuffers(ctypes.Structure):
    """`v4l2_requestbuffers`."""

    _fields_ = (
        ("count", c_uint32),
        ("type", c_uint32),
        ("memory", c_uint32),
        ("capabilities", c_uint32),
        ("flags", c_uint8),
        ("reserved", c_uint8 * 3),
    )


class TimeVal(ctypes.Structure):
    """`timeval`."""

    _fields_ = (("seconds", c_long), ("microseconds", c_long))


class TimeSpec(ctypes.Structure):
    """`timespec`."""

    _fields_ = (("seconds", c_long), ("nanoseconds", c_long))


class BufferTimeCode(ctypes.Structure):
    """`v4l2_timecode`."""

    _fields_ = (
        ("type", c_uint32),
        ("flags", c_uint32),
        ("frames", c_uint8),
        ("seconds", c_uint8),
        ("minutes", c_uint8),
        ("hours", c_uint8),
        ("userbits", c_uint8 * 4),
    )


class _BufferPlace(ctypes.Union):
    _fields_ = (("offset", c_uint32), ("userptr", c_uint64), ("planes", c_void_p), ("fd", c_int32))


class Buffer(ctypes.Structure):
    """`v4l2_buffer`."""

    _fields_ = (
        ("index", c_uint32),
        ("type", c_uint32),
        ("bytesused", c_uint32),
        ("flags", c_uint32),
        ("field", c_uint32),
        ("timestamp", TimeVal),
        ("timecode", BufferTimeCode),
        ("sequence", c_uint32),
        ("memory", c_uint32),
        ("m", _BufferPlace),
        ("length", c_uint32),
        ("reserved2", c_uint32),
        ("request_fd", c_int32),
    )


class BtTimings(ctypes.Structure):
    """`v4l2_bt_timings`, packed."""

    _pack_ = 1
    _fields_ = (
        ("width", c_uint32),
        ("height", c_uint32),
        ("interlaced", c_uint32),
        ("polarities", c_uint32),
        ("pixelclock", c_uint64),
        ("hfrontporch", c_uint32),
        ("hsync", c_uint32),
        ("hbackporch", c_uint32),
        ("vfrontporch", c_uint32),
        ("vsync", c_uint32),
        ("vbackporch", c_uint32),
        ("il_vfrontporch", c_uint32),
        ("il_vsync", c_uint32),
        ("il_vbackporch", c_uint32),
        ("standards", c_uint32),
        ("flags", c_uint32),
        ("picture_aspect", Fract),
        ("cea861_vic", c_uint8),
        ("hdmi_vic", c_uint8),
        ("reserved", c_uint8 * 46),
    )


class _TimingsUnion(ctypes.Union):
    _pack_ = 1
    _fields_ = (("bt", BtTimings), ("reserved", c_uint32 * 32))


class DvTimings(ctypes.Structure):
    """`v4l2_dv_timings`, packed."""

    _pack_ = 1
    _fields_ = (("type", c_uint32), ("u", _TimingsUnion))


class _EventUnion(ctypes.Union):
    # `v4l2_event_ctrl` holds a 64-bit value, hence the alignment of 8.
    _fields_ = (("changes", c_uint32), ("data", c_uint8 * 64), ("_align", c_uint64))


class KernelEvent(ctypes.Structure):
    """`v4l2_event`; `u.changes` is that of a source change."""

    _fields_ = (
        ("type", c_uint32),
        ("u", _EventUnion),
        ("pending", c_uint32),
        ("sequence", c_uint32),
        ("timestamp", TimeSpec),
        ("id", c_uint32),
        ("reserved", c_uint32 * 8),
    )


class EventSubscription(ctypes.Structure):
    """`v4l2_event_subscription`."""

    _fields_ = (
        ("type", c_uint32),
        ("id", c_uint32),
        ("flags", c_uint32),
        ("reserved", c_uint32 * 5),
    )


class Edid(ctypes.Structure):
    """`v4l2_edid`; `edid` points at `blocks` times 128 bytes."""

    _fields_ = (
        ("pad", c_uint32),
        ("start_block", c_uint32),
        ("blocks", c_uint32),
        ("reserved", c_uint32 * 5),
        ("edid", c_void_p),
    )


class KernelControl(ctypes.Structure):
    """`v4l2_control`."""

    _fields_ = (("id", c_uint32), ("value", c_int32))
