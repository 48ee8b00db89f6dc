"""What remains of a match, as the text of an ASC CDL file."""

from pathlib import Path

from firmware.instruments.match.answer import beyond, leaves_words
from overlays.measure.match.cdl_text import cc_text, cdl_text
from overlays.measure.match.remainder import Remainder
from overlays.signal.curves import MID_GREY, Curve

CC, CDL = ".cc", ".cdl"
"""Endings: one ColorCorrection, or a ColorDecisionList."""


def ending_of(path: Path) -> str:
    """The ending that a file of that name is to have: .cc where it has that, else .cdl."""
    return CC if path.suffix.lower() == CC else CDL


REST = "Camera B to camera A, once exposure and balance are matched: neither is in it"
WHOLE = "Camera B as it was shot to camera A: exposure, balance and what remains, for use alone"
"""What a file holds, in its own description."""
WHOLE_CC = ".whole.cc"
"""Ending of the whole difference beside a picture."""


def remainder_text(rest: Remainder, curve: Curve, stem: str, ending: str, holds: str = REST) -> str:
    """A ColorCorrection where the ending is .cc, else a ColorDecisionList, called after `stem`.

    `curve` is camera B's: the file says that its numbers are meant for that signal.
    """
    signal = (
        f"{curve.name}, the curve's own signal from 0 to 1; mid-grey lies at "
        f"{curve.encode(MID_GREY):.4f}"
    )
    text = cc_text if ending == CC else cdl_text
    return text(rest.cdl, stem, f"{holds}; {leaves_words(rest)}; {beyond(rest)}", signal)
