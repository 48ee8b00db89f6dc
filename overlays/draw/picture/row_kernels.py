"""Loops that bring source rows to the size of the drawing. Unchecked: `picture` checks.

Samples of a few source rows are weighted into one row of 16 bits, then that row is brought to the
width of the drawing.
"""

import numba as nb
import numpy as np
import numpy.typing as npt

from overlays.draw.picture.narrow import add, lane, multiply, shift_right, subtract

Row = npt.NDArray[np.int16]
Wide = npt.NDArray[np.int32]
Long = npt.NDArray[np.int64]
Word = npt.NDArray[np.uint8] | npt.NDArray[np.uint16] | npt.NDArray[np.uint32]

_kernel = nb.njit(cache=True, nogil=True, forceinline=True)


@_kernel
def _one(words: Word, start: int, cut: tuple[int, int], weight: int, out: Row) -> None:
    """`out` becomes a source row, weighted."""
    shift, mask, w = np.int16(cut[0]), np.int16(cut[1]), np.int16(weight)
    row = words[start : start + out.size]
    for x in range(out.size):
        out[x] = multiply(lane(row[x], shift, mask), w)


@_kernel
def _two(
    words: Word, starts: tuple[int, int], cut: tuple[int, int], weights: tuple[int, int], out: Row
) -> None:
    """`out` becomes the weighted sum of two source rows."""
    shift, mask = np.int16(cut[0]), np.int16(cut[1])
    w0, w1 = np.int16(weights[0]), np.int16(weights[1])
    above = words[starts[0] : starts[0] + out.size]
    below = words[starts[1] : starts[1] + out.size]
    for x in range(out.size):
        out[x] = add(
            multiply(lane(above[x], shift, mask), w0), multiply(lane(below[x], shift, mask), w1)
        )


@_kernel
def _more(words: Word, start: int, cut: tuple[int, int], weight: int, out: Row) -> None:
    """A weighted source row is added to `out`."""
    shift, mask, w = np.int16(cut[0]), np.int16(cut[1]), np.int16(weight)
    row = words[start : start + out.size]
    for x in range(out.size):
        out[x] = add(out[x], multiply(lane(row[x], shift, mask), w))


@_kernel
def _gather_words(words: Word, plane: Long, first: int, weights: Row, out: Row) -> None:
    stride, cut = plane[1], (plane[2], plane[3])
    base = first * stride
    if weights.size == 1:
        _one(words, base, cut, weights[0], out)
        return
    if weights[1] == 0:
        _one(words, base, cut, weights[0], out)
    else:
        _two(words, (base, base + stride), cut, (weights[0], weights[1]), out)
    for k in range(2, weights.size):
        if weights[k] != 0:
            _more(words, base + k * stride, cut, weights[k], out)


@_kernel
def gather_rows(
    data: npt.NDArray[np.uint8], plane: Long, first: int, weights: Row, out: Row
) -> None:
    """`out` becomes the weighted sum of source rows.

    `plane` is (word bytes, stride, shift, mask).
    """
    if plane[0] == 1:
        _gather_words(data, plane, first, weights, out)
    elif plane[0] == 2:
        _gather_words(data.view(np.uint16), plane, first, weights, out)
    else:
        _gather_words(data.view(np.uint32), plane, first, weights, out)


@_kernel
def needed_for(row: Row, columns: int, of: int, ratio: tuple[int, int, int]) -> Row:
    """The samples that the first so many of all drawn columns are made of.

    By a ratio they are as large a share of a row; by taps, or doubled first, all are taken.
    """
    by_ratio = ratio[0] != 0 and ratio[2] == 0
    return row[: row.size * columns // of] if by_ratio else row[:]


@_kernel
def width_by_taps(
    row: Row, start: npt.NDArray[np.uint32], weights: Row, wide: Wide, out: Row
) -> None:
    """Any ratio: weighted sums of neighbours, weights of sum 128 taken out again.

    `wide` (2, columns or more) int32 is scratch: the row (machines gather 32 bits, not 16), sums.
    """
    samples, sums = wide[0, : row.size], wide[1, : out.size]
    for x in range(row.size):
        samples[x] = np.int32(row[x])
    for x in range(out.size):
        sums[x] = np.int32(64)
    for k in range(weights.shape[0]):
        line = weights[k]
        for x in range(out.size):
            # With unsigned indices numba leaves out the check for negative ones.
            sums[x] += samples[np.uint32(start[x]) + np.uint32(k)] * np.int32(line[x])
    for x in range(out.size):
        out[x] = np.int16(sums[x] >> 7)


@_kernel
def _doubled(row: Row, out: Row) -> None:
    """Twice as many samples, each a quarter of the way to its neighbour; nothing overflows."""
    last, two = row.size - 1, np.int16(2)
    for x in range(last):
        step = subtract(row[x + 1], row[x])
        out[2 * x + 1] = add(row[x], shift_right(step, two))
        out[2 * x + 2] = subtract(row[x + 1], shift_right(step, two))
    out[0] = row[0]
    out[2 * last + 1] = row[last]


@_kernel
def _pairs_3_to_2(row: Row, out: Row) -> None:
    two = np.int16(2)
    for i in range(out.size // 2):
        a, b, c = row[3 * i], row[3 * i + 1], row[3 * i + 2]
        out[2 * i] = add(multiply(a, two), b)
        out[2 * i + 1] = add(b, multiply(c, two))


@_kernel
def _chroma_3_to_4(row: Row, out: Row) -> None:
    """3:2 of luma where each sample of chroma stands for two columns."""
    two, three = np.int16(2), np.int16(3)
    for i in range(out.size // 4):
        a, b, c = row[3 * i], row[3 * i + 1], row[3 * i + 2]
        out[4 * i] = multiply(a, three)
        out[4 * i + 1] = add(a, multiply(b, two))
        out[4 * i + 2] = add(multiply(b, two), c)
        out[4 * i + 3] = multiply(c, three)


@_kernel
def _pairs_5_to_2(row: Row, out: Row) -> None:
    two = np.int16(2)
    for i in range(out.size // 2):
        c = row[5 * i + 2]
        out[2 * i] = add(multiply(add(row[5 * i], row[5 * i + 1]), two), c)
        out[2 * i + 1] = add(multiply(add(row[5 * i + 3], row[5 * i + 4]), two), c)


@_kernel
def _chroma_5_to_4(row: Row, out: Row) -> None:
    """5:2 of luma where each sample of chroma stands for two columns."""
    two, three, four = np.int16(2), np.int16(3), np.int16(4)
    for i in range(out.size // 4):
        b, c, d = row[5 * i + 1], row[5 * i + 2], row[5 * i + 3]
        out[4 * i] = add(multiply(row[5 * i], four), b)
        out[4 * i + 1] = add(multiply(b, three), multiply(c, two))
        out[4 * i + 2] = add(multiply(c, two), multiply(d, three))
        out[4 * i + 3] = add(d, multiply(row[5 * i + 4], four))


@_kernel
def _sums_of(row: Row, count: int, out: Row) -> None:
    """Each pixel the sum of one, two, three or four samples of its own."""
    if count == 1:
        for x in range(out.size):
            out[x] = row[x]
    elif count == 2:
        for x in range(out.size):
            out[x] = add(row[2 * x], row[2 * x + 1])
    elif count == 3:
        for x in range(out.size):
            out[x] = add(add(row[3 * x], row[3 * x + 1]), row[3 * x + 2])
    else:
        for x in range(out.size):
            left = add(row[4 * x], row[4 * x + 1])
            out[x] = add(left, add(row[4 * x + 2], row[4 * x + 3]))


@_kernel
def _halved_chroma(row: Row, ratio: int, out: Row) -> None:
    """The ratios where each sample of chroma stands for two columns of luma."""
    if ratio == 32:
        _chroma_3_to_4(row, out)
    elif ratio == 31:
        _pairs_3_to_2(row, out)
    elif ratio == 52:
        _chroma_5_to_4(row, out)
    elif ratio == 41:
        for x in range(out.size):
            out[x] = multiply(add(row[2 * x], row[2 * x + 1]), np.int16(2))
    elif ratio == 21:
        for x in range(out.size):
            out[x] = multiply(row[x], np.int16(2))
    else:
        for x in range(out.size // 2):
            out[2 * x] = row[x]
            out[2 * x + 1] = row[x]


@_kernel
def width_by_ratio(row: Row, ratio: int, samples: int, out: Row) -> None:
    """1:1 to 4:1, 3:2 and 5:2 (`ratio` 11 to 41, 32, 52), for 1 or 2 columns per sample."""
    if samples == 2:
        _halved_chroma(row, ratio, out)
    elif ratio == 32:
        _pairs_3_to_2(row, out)
    elif ratio == 52:
        _pairs_5_to_2(row, out)
    else:
        _sums_of(row, ratio // 10, out)


@_kernel
def width_doubled(
    row: Row, larger: tuple[tuple[Row, Row], int], ratio: int, samples: int, out: Row
) -> None:
    """The same of a row that is first doubled once or twice, in two rows that are scratch."""
    twice = larger[0][0][: 2 * row.size]
    _doubled(row, twice)
    if larger[1] > 1:
        often = larger[0][1][: 4 * row.size]
        _doubled(twice, often)
        width_by_ratio(often, ratio, samples, out)
    else:
        width_by_ratio(twice, ratio, samples, out)
