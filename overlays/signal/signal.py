"""What must be known of a feed before one of its codes means anything."""

from dataclasses import dataclass, replace
from enum import Enum


class _Known(Enum):
    """Members are what they are and no equal others, so that an address is hash enough.

    What is known of a signal is kept by it: a spot asks nine times, and Enum's own hash is that of
    the member's name, taken in Python anew each time.
    """

    __hash__ = object.__hash__


class Range(_Known):
    """Quantisation range of the codes.

    ITU-R BT.2100-2 Table 9 calls the first two "narrow" and "full"; the trade says limited, full.

    Examples
    --------
    >>> Range.STRETCHED.is_whole, Range.SQUEEZED_TWICE.squeezes
    (True, 2)
    """

    LIMITED = "limited"
    FULL = "full"
    STRETCHED = "stretched"
    """Full range that a limited link was stretched to, as grabbers, bridges to R'G'B' and players
    do: 64 to 940 of 10 bits became 0 to 1023. The word is our own."""
    SQUEEZED = "squeezed"
    """A limited link whose codes were taken for full range and made limited once more: black lies
    at 30 and 100 % at 218 of 8 bits (met in the field: sipeed/NanoKVM issue 101, where the first
    of its two squeezes is the source's own). The word is our own, as is the next."""
    SQUEEZED_TWICE = "squeezed-twice"
    """The same done twice: black at 41.5 and 100 % at 203 of 8 bits."""

    @property
    def is_whole(self) -> bool:
        """Whether black and 100 % lie on the two ends of the code scale."""
        return self is Range.FULL or self is Range.STRETCHED

    @property
    def squeezes(self) -> int:
        """How often codes of a limited link were made limited again."""
        if self is Range.SQUEEZED:
            return 1
        return 2 if self is Range.SQUEEZED_TWICE else 0


class Matrix(_Known):
    """The Y'CbCr matrix, by the recommendation that gives it; also the weights of luminance.

    Examples
    --------
    >>> round(sum(Matrix.BT709.weights), 4)
    1.0
    """

    BT709 = "BT.709"
    BT601 = "BT.601"
    BT2020 = "BT.2020"

    @property
    def weights(self) -> tuple[float, float, float]:
        """Luma weights (Kr, Kg, Kb).

        ITU-R BT.709-6 item 3.2, ITU-R BT.601-7 item 2.5.1, ITU-R BT.2020-2 Table 4 (NCL).
        """
        return _WEIGHTS[self]


_WEIGHTS = {
    Matrix.BT709: (0.2126, 0.7152, 0.0722),
    Matrix.BT601: (0.299, 0.587, 0.114),
    Matrix.BT2020: (0.2627, 0.6780, 0.0593),
}


class Components(_Known):
    """What the three planes of a frame are."""

    YCBCR = "Y'CbCr"
    RGB = "R'G'B'"


class Subsampling(_Known):
    """How many columns and rows of luma share one sample of chroma.

    Examples
    --------
    >>> Subsampling.S420.columns, Subsampling.S420.rows
    (2, 2)
    """

    S444 = "4:4:4"
    S422 = "4:2:2"
    S420 = "4:2:0"

    @property
    def columns(self) -> int:
        """Luma columns to one chroma column."""
        return 1 if self is Subsampling.S444 else 2

    @property
    def rows(self) -> int:
        """Luma rows to one chroma row."""
        return 2 if self is Subsampling.S420 else 1


@dataclass(frozen=True, slots=True)
class Signal:
    """How the codes of a frame are to be read.

    Attributes
    ----------
    bits:
        Depth of a code, 8 to 16.
    range:
        Limited or full quantisation range, or what was made of limited on its way.
    matrix:
        The Y'CbCr matrix; for R'G'B' only the weights of luma and luminance.
    components:
        Whether the planes are Y', Cb, Cr or R', G', B'.
    subsampling:
        Of chroma; 4:4:4 for R'G'B'.
    lossy:
        True where a codec that discards detail lies between camera and code.
    block:
        Pixels each way of the largest block that this codec predicts or transforms as a whole; 0
        where that is not known.
    """

    bits: int = 8
    range: Range = Range.LIMITED
    matrix: Matrix = Matrix.BT709
    components: Components = Components.YCBCR
    subsampling: Subsampling = Subsampling.S422
    lossy: bool = False
    block: int = 0


@dataclass(frozen=True, slots=True)
class SignalOverride:
    """What somebody says of a signal against what its feed says; None leaves it to the feed.

    Examples
    --------
    >>> SignalOverride(range=Range.FULL).over(Signal()).range
    <Range.FULL: 'full'>
    """

    range: Range | None = None
    matrix: Matrix | None = None

    def over(self, signal: Signal) -> Signal:
        """The signal as it is then to be read.

        Parameters
        ----------
        signal:
            As the feed says it.

        Returns
        -------
        Signal
            With range and matrix as they were asked for.

        Examples
        --------
        >>> SignalOverride(Range.FULL, None).over(Signal()).range.value
        'full'
        """
        return replace(
            signal, range=self.range or signal.range, matrix=self.matrix or signal.matrix
        )

    def or_else(self, other: "SignalOverride") -> "SignalOverride":
        """The same, and what it leaves open as another says.

        Parameters
        ----------
        other:
            Asked less urgently.

        Returns
        -------
        SignalOverride
            Open only where both are.

        Examples
        --------
        >>> SignalOverride().or_else(SignalOverride(Range.FULL)).range.value
        'full'
        """
        return SignalOverride(self.range or other.range, self.matrix or other.matrix)
