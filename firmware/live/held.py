"""What is kept of a frame that is held."""

from dataclasses import replace

from overlays.signal.frame import Frame


def kept(frame: Frame) -> Frame:
    """A copy that outlives the buffer.

    Parameters
    ----------
    frame:
        Lent by a feed.

    Returns
    -------
    Frame
        The same with planes of its own.
    """
    one, two, three = (plane.copy() for plane in frame.planes)
    return replace(frame, planes=(one, two, three))
