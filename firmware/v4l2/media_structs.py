"""The kernel's media graph structures, in the layout of 64-bit Linux.

From `include/uapi/linux/media.h`, `v4l2-subdev.h` and `v4l2-mediabus.h`.
"""

import ctypes
from ctypes import c_char, c_uint16, c_uint32, c_uint64


class BusFormat(ctypes.Structure):
    """`v4l2_mbus_framefmt`: what flows between two entities of a media graph."""

    _fields_ = (
        ("width", c_uint32),
        ("height", c_uint32),
        ("code", c_uint32),
        ("field", c_uint32),
        ("colorspace", c_uint32),
        ("ycbcr_enc", c_uint16),
        ("quantization", c_uint16),
        ("xfer_func", c_uint16),
        ("flags", c_uint16),
        ("reserved", c_uint16 * 10),
    )


class SubdevFormat(ctypes.Structure):
    """`v4l2_subdev_format`."""

    _fields_ = (
        ("which", c_uint32),
        ("pad", c_uint32),
        ("format", BusFormat),
        ("stream", c_uint32),
        ("reserved", c_uint32 * 7),
    )


class MediaEntity(ctypes.Structure):
    """`media_v2_entity`, packed."""

    _pack_ = 1
    _fields_ = (
        ("id", c_uint32),
        ("name", c_char * 64),
        ("function", c_uint32),
        ("flags", c_uint32),
        ("reserved", c_uint32 * 5),
    )


class MediaInterface(ctypes.Structure):
    """`media_v2_interface`, packed; a device node has `major` and `minor`."""

    _pack_ = 1
    _fields_ = (
        ("id", c_uint32),
        ("intf_type", c_uint32),
        ("flags", c_uint32),
        ("reserved", c_uint32 * 9),
        ("major", c_uint32),
        ("minor", c_uint32),
        ("raw", c_uint32 * 14),
    )


class MediaPad(ctypes.Structure):
    """`media_v2_pad`, packed."""

    _pack_ = 1
    _fields_ = (
        ("id", c_uint32),
        ("entity_id", c_uint32),
        ("flags", c_uint32),
        ("index", c_uint32),
        ("reserved", c_uint32 * 4),
    )


class MediaLink(ctypes.Structure):
    """`media_v2_link`, packed."""

    _pack_ = 1
    _fields_ = (
        ("id", c_uint32),
        ("source_id", c_uint32),
        ("sink_id", c_uint32),
        ("flags", c_uint32),
        ("reserved", c_uint32 * 6),
    )


class MediaTopology(ctypes.Structure):
    """`media_v2_topology`, packed: counts and addresses of the four tables."""

    _pack_ = 1
    _fields_ = (
        ("topology_version", c_uint64),
        ("num_entities", c_uint32),
        ("reserved1", c_uint32),
        ("ptr_entities", c_uint64),
        ("num_interfaces", c_uint32),
        ("reserved2", c_uint32),
        ("ptr_interfaces", c_uint64),
        ("num_pads", c_uint32),
        ("reserved3", c_uint32),
        ("ptr_pads", c_uint64),
        ("num_links", c_uint32),
        ("reserved4", c_uint32),
        ("ptr_links", c_uint64),
    )


class MediaPadDescription(ctypes.Structure):
    """`media_pad_desc`."""

    _fields_ = (
        ("entity", c_uint32),
        ("index", c_uint16),
        ("flags", c_uint32),
        ("reserved", c_uint32 * 2),
    )


class MediaLinkDescription(ctypes.Structure):
    """`media_link_desc`."""

    _fields_ = (
        ("source", MediaPadDescription),
        ("sink", MediaPadDescription),
        ("flags", c_uint32),
        ("reserved", c_uint32 * 2),
    )
