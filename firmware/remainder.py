"""What remains of a match, as the text of an ASC CDL file."""

from pathlib import Path

from overlays.measure.match.cdl import cc_text, cdl_text
from overlays.measure.match.match import Remainder
from overlays.signal.curves import MID_GREY, Curve


def remainder_text(rest: Remainder, curve: Curve, path: Path) -> str:
    """A ColorCorrection for a path ending in .cc, else a ColorDecisionList, called after it.

    `curve` is camera B's: the file says that its numbers are meant for that signal.
    """
    signal = (
        f"{curve.name}, the curve's own signal from 0 to 1; mid-grey lies at "
        f"{curve.encode(MID_GREY):.4f}"
    )
    text = cc_text if path.suffix.lower() == ".cc" else cdl_text
    description = "Camera B to camera A, once exposure and balance are matched"
    return text(rest.cdl, path.stem, description, signal)
