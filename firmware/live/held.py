"""A frame that outlives its buffer."""

from dataclasses import replace

from overlays.signal.frame import Frame


def kept(frame: Frame) -> Frame:
    """A copy that outlives the buffer."""
    one, two, three = (plane.copy() for plane in frame.planes)
    return replace(frame, planes=(one, two, three))
