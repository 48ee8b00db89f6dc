"""A suspicion: what a running feed may be instead of what it is read as, and how sure that is."""

from dataclasses import dataclass
from enum import Enum

from overlays.wording.numbers import share_text


class Sign(Enum):
    """What was seen; the value is what it means, without a full stop."""

    RESERVED = "codes that limited range does not use: the feed may be full range"
    COMB = "a comb of codes: range was counted anew on the way, by whatever lies between"
    SQUEEZED = "the picture ends where limited range that was squeezed would: make a feed check"
    CHROMA = "colours are cut off at the end of their range"
    BELOW_LOG = "much darker than the black of the log curve: a display look may be on"
    LOG = "no black and no white as of a log picture: it may be read by the wrong curve"
    BARS = "bars above and below (or beside) the picture: extremes and shares count them"
    MENU = "part of the picture stands still as signs do: a menu may be burnt in"
    STRIPES = "diagonal stripes over parts of the picture: the camera's own may be burnt in"
    FLOOR = "dark parts are cut off above the curve's black: a look, a limiter or another range"
    REPEATS = "frames repeat evenly: the grabber makes another rate of them"
    BLENDS = "frames are blends of those beside them: the grabber makes another rate of them"
    BLOCKS = "blocks of 8 pixels: a grabber compresses, which costs fine detail and noise"


@dataclass(frozen=True, slots=True)
class Suspicion:
    """One sign.

    Attributes
    ----------
    sign:
        What was seen.
    share, share_pm:
        How much of the picture (or of codes, or of frames) shows it, 0 to 1, and its half width at
        95 %.

    Examples
    --------
    >>> Suspicion(Sign.BLOCKS, share=0.25, share_pm=0.01).words
    'blocks of 8 pixels: a grabber compresses, which costs fine detail and noise (25 ±1.0 %)'
    """

    sign: Sign
    share: float
    share_pm: float

    @property
    def words(self) -> str:
        """One sentence, with how much of it there is."""
        return f"{self.sign.value} ({share_text(self.share)} ±{share_text(self.share_pm)} %)"
