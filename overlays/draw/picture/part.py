"""A part of a frame as a frame of its own, for the screen: views, nothing is copied."""

from dataclasses import replace

from overlays.draw.layout.seen import Part
from overlays.signal.frame import Frame


def magnified(frame: Frame, part: Part) -> Frame:
    """The part of a frame; the frame itself where that is all of it.

    Parameters
    ----------
    frame:
        In native codes.
    part:
        Wholly inside of it, beginning at whole samples of chroma.
    """
    if (part.columns, part.rows) == (frame.columns, frame.rows):
        return frame
    sub = frame.signal.subsampling
    bottom, right = part.top + part.rows, part.left + part.columns
    luma = frame.planes[0][part.top : bottom, part.left : right]
    rows = slice(part.top // sub.rows, -(-bottom // sub.rows))
    columns = slice(part.left // sub.columns, -(-right // sub.columns))
    return replace(
        frame, planes=(luma, frame.planes[1][rows, columns], frame.planes[2][rows, columns])
    )
