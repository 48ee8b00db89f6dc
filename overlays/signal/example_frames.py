"""Small frames whose truth can be seen: what the examples in docstrings are measured on."""

from collections.abc import Sequence

import numpy as np

from overlays.signal.frame import Frame, Plane
from overlays.signal.levels import FloatArray, chroma_scale, encoding, luma_scale
from overlays.signal.signal import Signal

TEN_BITS = Signal(bits=10)


def grey_frame(
    codes: Sequence[Sequence[int]], cell: int = 2, signal: Signal = TEN_BITS, number: int = 0
) -> Frame:
    """A frame of greys, of Y', Cb, Cr.

    Parameters
    ----------
    codes:
        Of luma, rows from the top; as many in each.
    cell:
        Pixels along the side of the square that each code fills; 2 or more where chroma is shared.
    signal:
        How the codes are to be read; not of R'G'B'.
    number:
        Of the frame.

    Returns
    -------
    Frame
        With samples of 8 or 16 bits; chroma is neutral.

    Examples
    --------
    >>> frame = grey_frame([[64, 940]], cell=3)
    >>> frame.planes[0].tolist()[0], frame.planes[1].tolist()[0]
    ([64, 64, 64, 940, 940, 940], [512, 512, 512])
    """
    luma, sub = np.kron(np.array(codes), np.ones((cell, cell))), signal.subsampling
    shape = (-(-luma.shape[0] // sub.rows), -(-luma.shape[1] // sub.columns))
    chroma = _samples(np.full(shape, chroma_scale(signal).zero), signal)
    return Frame((_samples(luma, signal), chroma, chroma), signal, number=number)


def _samples(codes: FloatArray, signal: Signal) -> Plane:
    """Codes as they are stored."""
    return codes.astype(np.uint8) if signal.bits == 8 else codes.astype(np.uint16)


def colour_frame(
    percents: Sequence[Sequence[tuple[float, float, float]]],
    cell: int = 2,
    signal: Signal = TEN_BITS,
) -> Frame:
    """A frame of squares of one colour each, of Y', Cb, Cr.

    Parameters
    ----------
    percents:
        R', G', B' in percent of video level, rows from the top; as many in each.
    cell:
        Pixels along the side of a square; even where chroma is shared.
    signal:
        How the codes are to be read; not of R'G'B'.

    Returns
    -------
    Frame
        Its codes are rounded as a camera rounds them, and held to those there are.

    Examples
    --------
    >>> [plane.tolist()[0][0] for plane in colour_frame([[(0, 0, 100)]]).planes]
    [127, 960, 471]
    """
    back, top, sub = encoding(signal), luma_scale(signal).top, signal.subsampling
    nominal = np.repeat(np.repeat(np.array(percents) / 100.0, cell, axis=0), cell, axis=1)
    codes = np.rint(nominal @ back.matrix.T + back.zero).clip(0, top)
    luma, cb, cr = (_samples(plane, signal) for plane in np.moveaxis(codes, -1, 0))
    steps = (slice(None, None, sub.rows), slice(None, None, sub.columns))
    return Frame((luma, cb[steps], cr[steps]), signal)
