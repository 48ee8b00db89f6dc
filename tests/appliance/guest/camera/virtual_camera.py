"""Brings picamera2 and libcamera's virtual pipeline together; loaded at the end of picamera2.

Nothing that midgrey calls is replaced.
"""

import types

import libcamera
import picamera2.allocators.dmaallocator as dma
from picamera2.picamera2 import Picamera2

_modes_of_sensor = Picamera2._get_raw_modes


def modes(self):
    """Of the sensor; where there is none, that of the picture."""
    try:
        return _modes_of_sensor(self)
    except AttributeError:  # no configuration is made for the raw role
        role = libcamera.StreamRole.VideoRecording
        made = self.camera.generate_configuration([role]).at(0)
        size = (made.size.width, made.size.height)
        return [{"format": str(made.pixel_format), "size": size}]


class TwoPlanes:
    """A buffer of NV12: the second plane is the last third of the same memory."""

    Plane = libcamera.FrameBuffer.Plane

    def __new__(cls, planes):
        """libcamera's own buffer."""
        (luma,) = planes  # the library counts buffers by this plane's own descriptor
        chroma = cls.Plane()
        chroma.fd, chroma.offset = luma.fd, luma.length // 3 * 2
        chroma.length = luma.length - chroma.offset
        luma.length = chroma.offset
        return libcamera.FrameBuffer([luma, chroma])


Picamera2._get_raw_modes = modes
dma.libcamera = types.SimpleNamespace(FrameBuffer=TwoPlanes)
