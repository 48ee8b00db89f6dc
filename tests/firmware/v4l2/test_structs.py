"""Layout against the C compiler's.

The figures were printed by gcc 12 for x86-64 from the kernel's own headers (linux-libc-dev 6.1);
all 64-bit Linux shares them. Where a compiler and the headers are at hand, it is asked again.
"""

import ctypes
import shutil
import subprocess
from pathlib import Path

import pytest

from firmware.v4l2 import media_structs, structs

SIZES = {
    "v4l2_capability": (structs.Capability, 104),
    "v4l2_fmtdesc": (structs.FormatDescription, 64),
    "v4l2_pix_format": (structs.PixFormat, 48),
    "v4l2_format": (structs.Format, 208),
    "v4l2_frmsizeenum": (structs.FrameSize, 44),
    "v4l2_frmivalenum": (structs.FrameInterval, 52),
    "v4l2_requestbuffers": (structs.RequestBuffers, 20),
    "v4l2_timecode": (structs.BufferTimeCode, 16),
    "v4l2_buffer": (structs.Buffer, 88),
    "v4l2_bt_timings": (structs.BtTimings, 124),
    "v4l2_dv_timings": (structs.DvTimings, 132),
    "v4l2_event": (structs.KernelEvent, 136),
    "v4l2_event_subscription": (structs.EventSubscription, 32),
    "v4l2_edid": (structs.Edid, 40),
    "v4l2_control": (structs.KernelControl, 8),
    "v4l2_mbus_framefmt": (media_structs.BusFormat, 48),
    "v4l2_subdev_format": (media_structs.SubdevFormat, 88),
    "media_v2_entity": (media_structs.MediaEntity, 96),
    "media_v2_interface": (media_structs.MediaInterface, 112),
    "media_v2_pad": (media_structs.MediaPad, 32),
    "media_v2_link": (media_structs.MediaLink, 40),
    "media_v2_topology": (media_structs.MediaTopology, 72),
    "media_pad_desc": (media_structs.MediaPadDescription, 20),
    "media_link_desc": (media_structs.MediaLinkDescription, 52),
}
OFFSETS = {
    "v4l2_format.fmt": (structs.Format.fmt, 8),
    "v4l2_buffer.timestamp": (structs.Buffer.timestamp, 24),
    "v4l2_buffer.timecode": (structs.Buffer.timecode, 40),
    "v4l2_buffer.sequence": (structs.Buffer.sequence, 56),
    "v4l2_buffer.m": (structs.Buffer.m, 64),
    "v4l2_buffer.length": (structs.Buffer.length, 72),
    "v4l2_dv_timings.bt": (structs.DvTimings.u, 4),
    "v4l2_bt_timings.pixelclock": (structs.BtTimings.pixelclock, 16),
    "v4l2_bt_timings.flags": (structs.BtTimings.flags, 64),
    "v4l2_event.u": (structs.KernelEvent.u, 8),
    "v4l2_event.pending": (structs.KernelEvent.pending, 72),
    "v4l2_event.timestamp": (structs.KernelEvent.timestamp, 80),
    "v4l2_event.id": (structs.KernelEvent.id, 96),
    "v4l2_edid.edid": (structs.Edid.edid, 32),
    "media_v2_interface.devnode": (media_structs.MediaInterface.major, 48),
    "media_v2_topology.ptr_links": (media_structs.MediaTopology.ptr_links, 64),
}
pytestmark = pytest.mark.skipif(
    ctypes.sizeof(ctypes.c_void_p) != 8, reason="the layout asserted is that of 64-bit Linux"
)


@pytest.mark.parametrize("name", SIZES)
def test_size_is_the_compilers(name):
    ours, bytes_ = SIZES[name]
    assert ctypes.sizeof(ours) == bytes_


@pytest.mark.parametrize("name", OFFSETS)
def test_field_lies_where_the_compiler_puts_it(name):
    field, offset = OFFSETS[name]
    assert field.offset == offset


@pytest.mark.skipif(
    not (shutil.which("gcc") and Path("/usr/include/linux/videodev2.h").exists()),
    reason="needs gcc and the kernel's headers (apt install gcc linux-libc-dev)",
)
def test_table_agrees_with_the_compiler_at_hand(tmp_path):
    lines = [f'printf("%zu\\n", sizeof(struct {name}));' for name in SIZES]
    lines += [
        'printf("%zu\\n", offsetof(struct {}, {}));'.format(*name.split(".")) for name in OFFSETS
    ]
    headers = ("linux/videodev2.h", "linux/media.h", "linux/v4l2-subdev.h", "stddef.h", "stdio.h")
    source = tmp_path / "layout.c"
    source.write_text(
        "".join(f"#include <{header}>\n" for header in headers)
        + "int main(void) {\n"
        + "\n".join(lines)
        + "\nreturn 0; }\n"
    )
    program = tmp_path / "layout"
    subprocess.run(["gcc", "-o", program, source], check=True)
    said = subprocess.run([program], check=True, capture_output=True, text=True).stdout
    expected = [size for _, size in SIZES.values()] + [offset for _, offset in OFFSETS.values()]
    assert [int(line) for line in said.split()] == expected
