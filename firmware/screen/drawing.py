"""Where the picture goes."""

from enum import Enum


class Drawing(Enum):
    """What is drawn on."""

    WINDOW = "window"
    """On the display there is."""
    FRAMEBUFFER = "framebuffer"
    """Into the kernel's framebuffer of a panel that has no graphics processor."""
    NOTHING = "nothing"
    """There is no screen: lamp, lines and what is kept do without, and one that comes is used."""
    UNSEEN = "unseen"
    """Into memory only, for a screenshot or a measured run on a machine without a display."""
