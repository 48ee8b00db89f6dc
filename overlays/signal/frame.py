"""One picture in the codes the camera sent, as strided views on the buffer it came in.

Nothing is copied or converted: every layout a driver, a decoder or a file hands over is three
strided NumPy views. A layout differs from another only by strides, offsets and a shift.
"""

from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from overlays.errors import FrameLayoutError
from overlays.signal.signal import Signal, Subsampling

Plane: TypeAlias = npt.NDArray[np.uint8] | npt.NDArray[np.uint16]
Planes: TypeAlias = tuple[Plane, Plane, Plane]

SMALLEST = 2
"""Fewest rows and columns that can be measured: noise is judged from neighbouring pixels."""


@dataclass(frozen=True, slots=True)
class Frame:
    """One picture in native codes.

    Attributes
    ----------
    planes:
        Three (rows, columns) uint8 or uint16 views, each on its own sampling grid: Y', Cb, Cr or
        R', G', B'. Chroma is co-sited with the even luma columns (ITU-R BT.709-6 item 3.5 for
        4:2:2); an odd last column or row of luma has a chroma sample of its own.
    signal:
        How to read the codes.
    shift:
        Bits by which a stored sample is shifted left of its code (P010 keeps 10 bits in the upper
        end of 16: shift 6). 0 for most layouts.
    number:
        The feed's count of this frame, from 0.
    time_ns:
        When the frame was taken, on the feed's monotonic clock.
    timecode:
        The feed's own name for this frame, as text; empty where it has none.

    Examples
    --------
    >>> luma, chroma = np.zeros((4, 6), np.uint8), np.full((4, 3), 128, np.uint8)
    >>> frame = Frame((luma, chroma, chroma), Signal(bits=8))
    >>> frame.rows, frame.columns
    (4, 6)
    """

    planes: Planes
    signal: Signal
    shift: int = 0
    number: int = 0
    time_ns: int = 0
    notes: tuple[str, ...] = field(default=())
    """What the feed has to say of this one frame ("interlaced", "error flag"), in plain words."""
    timecode: str = ""

    def __post_init__(self) -> None:
        """Check once, at the public door, what every kernel behind it relies on."""
        signal = self.signal
        if not 8 <= signal.bits <= 16:
            raise FrameLayoutError(f"a code of {signal.bits} bits; 8 to 16 can be measured")
        rows, columns = self.planes[0].shape
        if rows < SMALLEST or columns < SMALLEST:
            raise FrameLayoutError(
                f"the picture is {columns}x{rows} pixels; the smallest that can be measured is "
                f"{SMALLEST}x{SMALLEST}, since noise is judged from neighbouring pixels"
            )
        sub = signal.subsampling
        expected = (-(-rows // sub.rows), -(-columns // sub.columns))
        for plane in self.planes[1:]:
            if plane.shape != expected:
                raise FrameLayoutError(
                    f"a chroma plane of {plane.shape[1]}x{plane.shape[0]} samples beside "
                    f"{columns}x{rows} luma; {sub.value} needs {expected[1]}x{expected[0]}"
                )
        if len({plane.dtype for plane in self.planes}) != 1:
            raise FrameLayoutError("the three planes differ in sample size")

    @property
    def rows(self) -> int:
        """Height of the picture in pixels."""
        return int(self.planes[0].shape[0])

    @property
    def columns(self) -> int:
        """Width of the picture in pixels."""
        return int(self.planes[0].shape[1])


def _view(buffer: npt.NDArray[np.uint8], rows: int, stride: int, used: int) -> Plane:
    """(rows, used) bytes of a buffer whose rows lie `stride` bytes apart."""
    need = stride * (rows - 1) + used
    if buffer.size < need:
        raise FrameLayoutError(
            f"the frame holds {buffer.size} bytes, {need} expected: it is cut short"
        )
    return np.lib.stride_tricks.as_strided(buffer, (rows, used), (stride, 1), writeable=False)


def _flat_bytes(
    buffer: bytes | bytearray | memoryview | npt.NDArray[np.uint8],
) -> npt.NDArray[np.uint8]:
    """The buffer as one flat view, without a copy."""
    if isinstance(buffer, np.ndarray):
        return buffer.reshape(-1)
    return np.frombuffer(buffer, dtype=np.uint8)


def packed_422(
    buffer: bytes | bytearray | memoryview | npt.NDArray[np.uint8],
    rows: int,
    columns: int,
    order: str = "UYVY",
    stride: int = 0,
) -> Planes:
    """Views of an 8-bit packed 4:2:2 buffer.

    Parameters
    ----------
    buffer:
        At least `stride * rows` bytes.
    rows, columns:
        Size of the picture; an odd width has a last pair of which only the first luma counts.
    order:
        ``"UYVY"`` or ``"YUYV"`` (kernel names of the two byte orders, media uAPI "Packed YUV").
    stride:
        Bytes from row to row; 0 where rows are packed tightly.

    Returns
    -------
    tuple of ndarray
        Y' (rows, columns), Cb and Cr (rows, columns / 2), views of the buffer.

    Raises
    ------
    FrameLayoutError
        The buffer is too short, or the order is unknown.

    Examples
    --------
    >>> [plane.tolist() for plane in packed_422(bytes([128, 16, 129, 235]), rows=1, columns=2)]
    [[[16, 235]], [[128]], [[129]]]
    """
    if order not in {"UYVY", "YUYV"}:
        raise FrameLayoutError(f"packed 4:2:2 order {order!r}; UYVY or YUYV expected")
    pairs = (columns + 1) // 2
    line = _view(_flat_bytes(buffer), rows, stride or pairs * 4, pairs * 4)
    luma, cb, cr = (1, 0, 2) if order == "UYVY" else (0, 1, 3)
    return line[:, luma::2][:, :columns], line[:, cb::4], line[:, cr::4]


def planar(
    buffer: bytes | bytearray | memoryview | npt.NDArray[np.uint8],
    rows: int,
    columns: int,
    subsampling: Subsampling = Subsampling.S420,
    sample_bytes: int = 1,
    stride: int = 0,
) -> Planes:
    """Views of a buffer of three planes one behind the other (Y, Cb, Cr).

    `sample_bytes` is 1, or 2 for little-endian 16-bit samples; `stride` is that of luma in bytes
    (0: tight), chroma rows lie `stride / subsampling.columns` apart, as the kernel lays YUV420.

    Parameters
    ----------
    buffer:
        All three planes.
    rows:
        Height of the picture.
    columns:
        Width of the picture.
    subsampling:
        Of chroma.
    sample_bytes:
        1 or 2.
    stride:
        Bytes from one row of luma to the next.

    Returns
    -------
    tuple of ndarray
        Y', Cb and Cr, views of the buffer.

    Raises
    ------
    FrameLayoutError
        The buffer is too short, or a sample has another size.

    Examples
    --------
    >>> [plane.tolist() for plane in planar(bytes([1, 2, 3, 4, 90, 240]), rows=2, columns=2)]
    [[[1, 2], [3, 4]], [[90]], [[240]]]
    """
    flat = _flat_bytes(buffer)
    c_rows, c_columns = -(-rows // subsampling.rows), -(-columns // subsampling.columns)
    luma_stride = stride or columns * sample_bytes
    chroma_stride = luma_stride // subsampling.columns if stride else c_columns * sample_bytes
    luma = _view(flat, rows, luma_stride, columns * sample_bytes)
    start = luma_stride * rows
    cb = _view(flat[start:], c_rows, chroma_stride, c_columns * sample_bytes)
    cr = _view(
        flat[start + chroma_stride * c_rows :], c_rows, chroma_stride, c_columns * sample_bytes
    )
    return _widen(luma, sample_bytes), _widen(cb, sample_bytes), _widen(cr, sample_bytes)


def semi_planar_420(
    buffer: bytes | bytearray | memoryview | npt.NDArray[np.uint8],
    rows: int,
    columns: int,
    sample_bytes: int = 1,
    stride: int = 0,
) -> Planes:
    """Views of NV12, or of P010 with its code in the upper bits: Y, then pairs of Cb and Cr.

    Parameters
    ----------
    buffer:
        Both planes.
    rows:
        Height of the picture.
    columns:
        Width of the picture.
    sample_bytes:
        1 for NV12, 2 for P010.
    stride:
        Bytes from row to row, of both planes; 0 where rows are packed tightly.

    Returns
    -------
    Planes
        Three views, uint8 or uint16.

    Raises
    ------
    FrameLayoutError
        The buffer is too short, or a sample has another size.

    Examples
    --------
    >>> [plane.tolist() for plane in semi_planar_420(bytes([1, 2, 3, 4, 90, 240]), 2, 2)]
    [[[1, 2], [3, 4]], [[90]], [[240]]]
    """
    flat = _flat_bytes(buffer)
    pairs = (columns + 1) // 2
    luma_stride = stride or max(columns, pairs * 2) * sample_bytes
    luma = _widen(_view(flat, rows, luma_stride, columns * sample_bytes), sample_bytes)
    both = _widen(
        _view(flat[luma_stride * rows :], (rows + 1) // 2, luma_stride, pairs * 2 * sample_bytes),
        sample_bytes,
    )
    return luma, both[:, 0::2], both[:, 1::2]


def packed_rgb(
    buffer: bytes | bytearray | memoryview | npt.NDArray[np.uint8],
    rows: int,
    columns: int,
    order: str = "RGB",
    sample_bytes: int = 1,
    stride: int = 0,
) -> Planes:
    """Views R, G, B of a packed buffer; `order` spells a pixel ("RGB", "BGR", "BGRX").

    Parameters
    ----------
    buffer:
        All rows.
    rows:
        Height of the picture.
    columns:
        Width of the picture.
    order:
        Letters of one pixel; anything but R, G and B is passed over.
    sample_bytes:
        1 or 2.
    stride:
        Bytes from row to row; 0 where rows are packed tightly.

    Returns
    -------
    Planes
        Three views, uint8 or uint16.

    Raises
    ------
    FrameLayoutError
        The buffer is too short, or a sample has another size.
    ValueError
        The order lacks one of R, G and B.

    Examples
    --------
    >>> [plane.tolist() for plane in packed_rgb(bytes([3, 2, 1, 0]), 1, 1, order="BGRX")]
    [[[1]], [[2]], [[3]]]
    """
    line = _view(
        _flat_bytes(buffer),
        rows,
        stride or columns * len(order) * sample_bytes,
        columns * len(order) * sample_bytes,
    )
    wide = _widen(line, sample_bytes)
    red, green, blue = (wide[:, order.index(name) :: len(order)] for name in "RGB")
    return red, green, blue


def _widen(plane: Plane, sample_bytes: int) -> Plane:
    """The byte view as samples of one or two bytes, still on the same buffer."""
    if sample_bytes == 1:
        return plane
    if sample_bytes != 2:
        raise FrameLayoutError(f"samples of {sample_bytes} bytes; 1 or 2 can be measured")
    return plane.view("<u2")
