"""A look-up table for the eye, read from the text of a `.cube` file.

Cube LUT Specification 1.0 (Adobe Systems, 2013; from memory, held to what colour-science reads):
lines of KEYWORD value, `#` begins a remark, then one line of three numbers for each entry, red
fastest. A text holds one table, of one dimension (a curve for each of R', G', B') or of three.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain

import numpy as np
import numpy.typing as npt

from overlays.errors import CubeError
from overlays.wording.read_number import number_in, short, whole_in

MOST_EDGE, MOST_LONG = 65, 65_536
"""Entries along an edge of a table of three dimensions and of one. The specification goes up to
256 for three; more than 65 is half a gigabyte of text to no visible end."""
LEAST = 2
MOST_REACH = 1000.0
"""Of a number in it: the specification names no bound, and this is far outside any display's."""

_SIZES = {"LUT_1D_SIZE": MOST_LONG, "LUT_3D_SIZE": MOST_EDGE}
_DOMAIN = {"DOMAIN_MIN": 0.0, "DOMAIN_MAX": 1.0}

Nodes = npt.NDArray[np.float32]
Triple = tuple[float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Cube:
    """A table.

    Attributes
    ----------
    name:
        As the file is called; titles in files are mostly those of the program that wrote them.
    low, high:
        (3,) levels of R', G', B' at the first and the last entry.
    nodes:
        float32 levels of the display, 0 to 1 within black and white: (entries, 3) of one
        dimension, or (blue, green, red, 3).
    """

    name: str
    low: Triple
    high: Triple
    nodes: Nodes


def parse_cube(text: str, name: str) -> Cube:
    """The table of a text.

    Parameters
    ----------
    text:
        Of the file.
    name:
        What to call it.

    Returns
    -------
    Cube
        Whole: as many entries as it announces, each of three numbers.

    Raises
    ------
    CubeError
        It is none, with the number of the line at which that was seen.
    """
    lines = _lines(text)
    head = _head(lines)
    entries = head.size**3 if head.is_solid else head.size
    found, at, number = np.empty((entries, 3), np.float32), 0, head.first[0]
    for number, words in chain([head.first], lines):
        if at == entries:
            raise CubeError(f"line {number}: there are more entries than the {entries} announced")
        found[at] = _triple(words, number, "an entry")
        at += 1
    if at < entries:
        raise CubeError(f"line {number}: it ends after {at} of the {entries} entries announced")
    if any(low >= high for low, high in zip(head.low, head.high, strict=True)):
        raise CubeError("DOMAIN_MAX must lie above DOMAIN_MIN in R, G and B")
    shape = (head.size,) * 3 if head.is_solid else (head.size,)
    return Cube(name, head.low, head.high, found.reshape(*shape, 3))


Line = tuple[int, list[str]]


def _lines(text: str) -> Iterator[Line]:
    for number, line in enumerate(text.splitlines(), 1):
        words = line.split("#", 1)[0].split()
        if words:
            yield number, words


@dataclass(frozen=True, slots=True)
class _Head:
    """What stands before the entries, and the first of these."""

    size: int
    is_solid: bool
    low: Triple
    high: Triple
    first: Line


def _head(lines: Iterator[Line]) -> _Head:
    sizes: dict[str, int] = {}
    domain: dict[str, Triple] = {}
    for number, words in lines:
        key = words[0]
        if key in sizes or key in domain:
            raise CubeError(f"line {number}: {key} is given twice")
        if key in _SIZES:
            sizes[key] = _size(words, number)
        elif key in _DOMAIN:
            domain[key] = _triple(words[1:], number, key)
        elif number_in(key) is not None:
            if len(sizes) != 1:
                break
            low, high = (domain.get(name, (at,) * 3) for name, at in _DOMAIN.items())
            (size,) = sizes.values()
            return _Head(size, "LUT_3D_SIZE" in sizes, low, high, (number, words))
        elif key != "TITLE":
            raise CubeError(f"line {number}: {short(key)} is no keyword of a .cube file")
    what = {0: "neither LUT_1D_SIZE nor LUT_3D_SIZE", 1: "no entries"}.get(len(sizes), "both sizes")
    raise CubeError(f"it has {what}; a .cube file holds one table")


def _size(words: list[str], number: int) -> int:
    most = _SIZES[words[0]]
    size = whole_in(words[1]) if len(words) == 2 else None
    if size is None or not LEAST <= size <= most:
        raise CubeError(
            f"line {number}: {words[0]} must be a whole number of {LEAST} to {most}; write out a "
            "smaller table where it is larger"
        )
    return size


def _triple(words: list[str], number: int, what: str) -> Triple:
    numbers = [number_in(word) for word in words]
    good = [each for each in numbers if each is not None and abs(each) <= MOST_REACH]
    if len(good) != len(numbers) or len(good) != 3:
        said = short(" ".join(words)) if words else "nothing"
        raise CubeError(f"line {number}: {what} is three numbers, not {said}")
    return good[0], good[1], good[2]
