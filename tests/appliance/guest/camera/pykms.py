"""Names that picamera2 reads at its start, of a library for screens that midgrey never uses."""


class PixelFormat:
    """Formats of a screen's memory."""

    RGB888 = BGR888 = XRGB8888 = XBGR8888 = ABGR8888 = None
    YUV420 = YVU420 = NV12 = YUYV = YVYU = None
