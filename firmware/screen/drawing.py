"""Where the picture goes."""

from enum import Enum


class Drawing(Enum):
    """What is drawn on."""

    WINDOW = "window"
    """On the display there is."""
    FRAMEBUFFER = "framebuffer"
    """Into the kernel's framebuffer of a panel that has no graphics processor."""
    UNSEEN = "unseen"
    """Into memory only, for a screenshot or a measured run on a machine without a display."""
