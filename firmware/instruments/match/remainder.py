"""What remains of a match, as the text of an ASC CDL file."""

from pathlib import Path

from overlays.measure.match.cdl import cc_text, cdl_text
from overlays.measure.match.match import Remainder
from overlays.signal.curves import MID_GREY, Curve

CC, CDL = ".cc", ".cdl"
"""Endings: one ColorCorrection, or a ColorDecisionList."""


def ending_of(path: Path) -> str:
    """The ending that a file of that name is to have: .cc where it has that, else .cdl."""
    return CC if path.suffix.lower() == CC else CDL


def remainder_text(rest: Remainder, curve: Curve, stem: str, ending: str) -> str:
    """A ColorCorrection where the ending is .cc, else a ColorDecisionList, called after `stem`.

    `curve` is camera B's: the file says that its numbers are meant for that signal.
    """
    signal = (
        f"{curve.name}, the curve's own signal from 0 to 1; mid-grey lies at "
        f"{curve.encode(MID_GREY):.4f}"
    )
    text = cc_text if ending == CC else cdl_text
    description = "Camera B to camera A, once exposure and balance are matched"
    return text(rest.cdl, stem, description, signal)
