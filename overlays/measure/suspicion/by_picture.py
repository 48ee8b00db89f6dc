"""Signs in a few rows and columns of the picture: bars, blocks, and what stands still in it."""

import numpy as np
import numpy.typing as npt

from overlays.measure.suspicion.suspected import Sign, Suspicion
from overlays.signal.frame import Frame, Plane
from overlays.signal.levels import luma_scale

FloatArray = npt.NDArray[np.float64]

LEAST_BAR = 0.02
"""Of the height or the width: narrower bars are the blanking of old lenses and scans."""

BAR_LEVEL = 0.03
"""Nominal level under which a bar lies."""

BAR_SPREAD = 1
"""Codes of 8 bits that all of a bar lies within: it carries no noise of a camera."""

BLOCK = 8
"""Pixels of a side of a codec's block (ISO/IEC 10918-1, and what came after it)."""

BLOCKY = 1.25
"""Times the steps within blocks that those between them are, along both sides of the picture, from
which on blocks show: 1.01 at most of pictures without a codec, 1.13 and 1.38 of two through H.264
(the pictures of known truth), 2.8 of blocks that one sees."""

AREA = 16
"""Pixels of a side of the areas in which the picture may stand still."""

MOVES = 0.6
"""Of the pixels of an ordinary area that noise leaves as they were, at the most; where it leaves
more, standing still says nothing."""


def by_picture(frame: Frame) -> tuple[Suspicion, ...]:
    """Bars and blocks of one frame.

    Parameters
    ----------
    frame:
        In native codes.

    Returns
    -------
    tuple[Suspicion, ...]
        Empty where there are none.

    Examples
    --------
    >>> from overlays.signal.example_frames import grey_frame
    >>> [each.sign.name for each in by_picture(grey_frame([[64], [400], [500], [64]], cell=32))]
    ['BARS']
    """
    found = [bars(frame)]
    if not frame.signal.lossy:  # else its signal says already that it was compressed
        found.append(blocks(frame))
    return tuple(each for each in found if each is not None)


def bars(frame: Frame) -> Suspicion | None:
    """Black bars along two edges that face each other.

    Parameters
    ----------
    frame:
        In native codes.

    Returns
    -------
    Suspicion | None
        With the share of the picture that they take.

    Examples
    --------
    >>> from overlays.signal.example_frames import grey_frame
    >>> bars(grey_frame([[64], [400], [500], [64]], cell=32)).share
    0.5
    """
    luma = frame.planes[0]
    share = 0.0
    for picture in (luma[:, ::8], luma[::8, :].T):
        is_bar = _flat_and_dark(picture, frame)
        size = is_bar.size
        inner = np.flatnonzero(~is_bar)
        if inner.size == 0:
            return None  # all of it is dark: a cap
        first, last = int(inner[0]), size - 1 - int(inner[-1])
        if min(first, last) >= LEAST_BAR * size and abs(first - last) <= 0.02 * size + 2:
            edge = picture[first + 2].astype(np.float64), picture[first - 2].astype(np.float64)
            if float(np.abs(edge[0] - edge[1]).max()) >= 0.05 * _span(frame):
                share += (first + last) / size
    return Suspicion(Sign.BARS, share, 0.01) if share else None


def _span(frame: Frame) -> float:
    return luma_scale(frame.signal).span * (1 << frame.shift)


def _flat_and_dark(picture: Plane, frame: Frame) -> npt.NDArray[np.bool_]:
    """Of each row whether it is a bar's."""
    scale, stored = luma_scale(frame.signal), 1 << frame.shift
    low, high = picture.min(axis=1).astype(np.int64), picture.max(axis=1).astype(np.int64)
    most = (scale.zero + BAR_LEVEL * scale.span) * stored
    flat = high - low <= BAR_SPREAD * stored * (1 << frame.signal.bits) // 256
    return np.asarray(flat & (high <= most))


def blocks(frame: Frame) -> Suspicion | None:
    """Steps that lie eight pixels apart, along rows and along columns.

    Parameters
    ----------
    frame:
        In native codes.

    Returns
    -------
    Suspicion | None
        With how much larger steps between blocks are than those within.

    Examples
    --------
    >>> from overlays.signal.signal import Signal
    >>> noise = np.random.default_rng(1).normal(0.0, 4.0, (128, 128))
    >>> level = np.kron(np.random.default_rng(2).integers(0, 60, (16, 16)), np.ones((8, 8)))
    >>> luma, chroma = (400 + noise + level).astype(np.uint16), np.full((128, 64), 512, np.uint16)
    >>> found = blocks(Frame((luma, chroma, chroma), Signal(bits=10)))
    >>> found.sign.name, 0.0 < found.share <= 1.0
    ('BLOCKS', True)
    """
    luma = frame.planes[0]
    along_rows = _blockiness(luma[::4, :])
    if along_rows < BLOCKY:  # most pictures: what columns say need not be asked
        return None
    least = min(along_rows, _blockiness(luma[:, ::4].T))
    return None if least < BLOCKY else Suspicion(Sign.BLOCKS, min(1.0, least - 1.0), 0.08)


def _blockiness(rows: Plane) -> float:
    """Mean step over the edges of blocks by that within them; a gradient is no step."""
    wide = rows[:, : rows.shape[1] // BLOCK * BLOCK].astype(np.float32)
    if wide.shape[1] < 8 * BLOCK:
        return 1.0
    step = wide[:, 1:] - wide[:, :-1]
    bend = np.abs(step[:, 1:-1] - np.float32(0.5) * (step[:, :-2] + step[:, 2:]))
    # Large ones are edges of things, which lie anywhere.
    bend = np.minimum(bend, np.float32(4.0 * float(bend.mean()) + 1e-9))
    by_phase = [float(bend[:, phase::BLOCK].mean(dtype=np.float64)) for phase in range(BLOCK)]
    at = (BLOCK - 2) % BLOCK
    others = [value for phase, value in enumerate(by_phase) if abs(phase - at) not in {1, 7, 0}]
    return by_phase[at] / max(float(np.mean(others)), 1e-9)


def standing(before: Plane, now: Plane, span: float) -> Suspicion | None:
    """Areas with signs in them that no noise moves, in a picture that noise moves.

    Parameters
    ----------
    before, now:
        The same rows and columns of luma of two frames, (rows, columns) stored samples.
    span:
        Stored samples from black to white.

    Returns
    -------
    Suspicion | None
        With the share of the picture that stands still.

    Examples
    --------
    >>> noise = np.random.default_rng(1)
    >>> before, now = noise.integers(400, 410, (2, 64, 64), np.uint16)
    >>> before[:32, :32] = now[:32, :32] = np.indices((32, 32)).sum(axis=0) % 2 * 800
    >>> standing(before, now, span=876.0).share  # a quarter of the picture
    0.25
    """
    rows, columns = now.shape[0] // AREA * AREA, now.shape[1] // AREA * AREA
    cut = now[:rows, :columns].astype(np.int64)
    same = cut == before[:rows, :columns]
    cells = (rows // AREA, AREA, columns // AREA, AREA)
    still = same.reshape(cells).mean(axis=(1, 3))
    if still.size == 0 or float(np.median(still)) > MOVES:
        return None
    inside = cut.reshape(cells)
    spread = inside.max(axis=(1, 3)) - inside.min(axis=(1, 3))
    signs = (still == 1.0) & (spread >= 0.2 * span)
    share = float(signs.mean())
    if np.count_nonzero(signs) < 4:
        return None
    return Suspicion(Sign.MENU, share, 1.96 * float(np.sqrt(share / signs.size)))
