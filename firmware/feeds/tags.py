"""What the tags of a file say of its signal, and what is taken where they say nothing.

The numbers of the tags are those of ITU-T H.273 (colour primaries, transfer characteristics, matrix
coefficients), which FFmpeg hands on; its colour range is 1 for limited and 2 for full.
"""

from dataclasses import dataclass

from firmware.errors import FeedFormatError
from firmware.feeds.base import Doubt, Settles
from firmware.feeds.pixel_formats import PixelFormat
from overlays.signal.curves import Curve
from overlays.signal.gamuts import Gamut, published_gamut
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.signal import Components, Matrix, Range, Signal, SignalOverride

LOSSLESS = frozenset(
    {
        "rawvideo", "wrapped_avframe", "ffv1", "ffvhuff", "huffyuv", "hymt", "utvideo", "magicyuv",
        "v210", "v210x", "v308", "v408", "v410", "r210", "r10k", "y41p", "yuv4", "012v",
        "png", "apng", "tiff", "bmp", "dpx", "targa", "pam", "pbm", "pgm", "ppm", "pgmyuv", "sgi",
        "sunrast", "xwd", "qtrle", "zlib", "lagarith", "loco", "flashsv", "zmbv",
        "bitpacked", "wcmv", "qoi",
    }
)  # fmt: skip
"""FFmpeg's names of codecs that keep every code; all others are taken to discard detail."""

BLOCKS = {"h264": 16}
"""Pixels each way of the largest block, by FFmpeg's name of a codec: a macroblock of H.264, which
Intra_16x16 predicts as a whole (Rec. ITU-T H.264 8.3.3, from memory)."""

HD_ROWS = 720
"""Height from which untagged Y'CbCr is taken as BT.709, below it as BT.601 (common practice)."""

_MATRICES = {
    1: Matrix.BT709,
    5: Matrix.BT601,
    6: Matrix.BT601,
    9: Matrix.BT2020,
}
_REFUSED = {
    4: "FCC",
    7: "SMPTE 240M",
    8: "YCgCo",
    10: "BT.2020 constant luminance",
    14: "ICtCp",
}
_CURVES = {
    1: "BT.709",
    4: "BT.470 M",
    6: "BT.709",
    11: "BT.709",
    13: "sRGB",
    14: "BT.709",
    15: "BT.709",
    16: "PQ",
    18: "HLG",
}
# H.273 calls 6, 14 and 15 (BT.601 and BT.2020) functionally the same as 1; 11 goes on below black.
_TRANSFERS = {
    4: "ITU-R BT.470 System M (gamma 2.2)",
    5: "ITU-R BT.470 System B, G (gamma 2.8)",
    7: "SMPTE ST 240",
    8: "linear light",
    9: "a logarithm over a range of 100:1",
    10: "a logarithm over a range of 316:1",
    11: "IEC 61966-2-4 (xvYCC)",
    12: "ITU-R BT.1361-0",
    13: "IEC 61966-2-1 (sRGB)",
    17: "SMPTE ST 428-1",
}
"""Transfer characteristics that are named where a file names them; H.273 table 3."""
_GAMUTS = {
    1: "BT.709",
    4: "BT.470 M",
    5: "BT.601 625",
    6: "BT.601 525",
    7: "BT.601 525",
    9: "BT.2020",
    11: "DCI-P3",
    12: "P3-D65",
}
"""Colour primaries; H.273 table 2, where 7 (SMPTE ST 240) is functionally the same as 6."""
_OTHER_PRIMARIES = {
    8: "generic film",
    10: "CIE 1931 XYZ",
    22: "EBU 3213",
}
_EXPECTED = {
    Matrix.BT709: frozenset({1}),
    Matrix.BT601: frozenset({1, 5, 6, 7}),  # also of pictures that were made smaller
    Matrix.BT2020: frozenset({9}),
}
"""Primaries that go with a matrix and need no word."""


@dataclass(frozen=True, slots=True)
class Tags:
    """The tags of one decoded picture, as H.273 numbers (range: 0 unknown, 1 limited, 2 full)."""

    range: int
    matrix: int
    transfer: int
    primaries: int = 2


@dataclass(frozen=True, slots=True)
class Reading:
    """How the codes of a file are to be read.

    Attributes
    ----------
    signal, own:
        With what was said against the tags, and what the tags say alone.
    warnings, doubts:
        What makes it less certain, and what does so unless range and matrix are said.
    curve, carriage:
        That the tags name; None mostly. The carriage only where it is not the curve's usual one.
    gamut:
        That the tags name besides what goes with the matrix; None mostly.
    """

    signal: Signal
    own: Signal
    warnings: tuple[str, ...]
    doubts: tuple[Doubt, ...]
    curve: Curve | None
    carriage: Carriage | None = None
    gamut: Gamut | None = None


def read_tags(
    tags: Tags,
    pixels: PixelFormat,
    rows: int,
    codec: str,
    override: SignalOverride,
    path: str,
) -> Reading:
    """How the codes of a file are to be read.

    Raises
    ------
    FeedFormatError
        The matrix its tags name is none that can be measured, and no other is given.
    """
    warnings: list[str] = []
    lossy = codec not in LOSSLESS
    if lossy:
        warnings.append(
            f"compressed with {codec}, which discards detail: the ± allows for compression that is "
            "not seen; where it is seen, small spots may be further off than their ±"
        )
    doubts: list[Doubt] = []
    own = Signal(
        bits=pixels.bits,
        range=_range(tags, pixels, doubts),
        matrix=_matrix(tags, pixels, rows, override, doubts, path=path),
        components=pixels.components,
        subsampling=pixels.subsampling,
        lossy=lossy,
        block=BLOCKS.get(codec, 0),
    )
    name = _CURVES.get(tags.transfer)
    curve = None if name is None else published_curve(name)
    # H.273 counts E' from black to the nominal peak, whatever the curve's own publication does.
    laid = Carriage.NARROW if curve is not None and curve.carriage is Carriage.FULL else None
    gamut, of_primaries = _primaries(tags.primaries, own.matrix)
    warnings += [*_transfer(tags.transfer, curve), *of_primaries]
    return Reading(override.over(own), own, tuple(warnings), tuple(doubts), curve, laid, gamut)


def _transfer(number: int, curve: Curve | None) -> list[str]:
    """The transfer tag by its specification, where it is not an everyday one."""
    name = _TRANSFERS.get(number)
    if name is None:
        return []
    if curve is None:
        return [f"the file's transfer tag names {name}, which cannot be read; give --curve"]
    below = ", which is the same down to black" if number == 11 else ""
    return [f"the file's transfer tag names {name}: read as {curve.name}{below}"]


def _primaries(number: int, matrix: Matrix) -> tuple[Gamut | None, list[str]]:
    """The gamut that is tagged, and what to say of it, where it is not that of the matrix."""
    if number in _OTHER_PRIMARIES:
        name = _OTHER_PRIMARIES[number]
        return None, [f"the file names the primaries of {name}, which cannot be read; give --gamut"]
    if number not in _GAMUTS or number in _EXPECTED[matrix]:
        return None, []
    gamut = published_gamut(_GAMUTS[number])
    words = (
        f"the file names {gamut.name} primaries beside the {matrix.value} matrix: colours are read "
        "in these primaries, luminance with the weights of the matrix"
    )
    return gamut, [words]


def _range(tags: Tags, pixels: PixelFormat, doubts: list[Doubt]) -> Range:
    if pixels.jpeg or tags.range == 2:
        return Range.FULL
    if tags.range == 1:
        return Range.LIMITED
    coloured = pixels.components is Components.RGB and not pixels.grey
    taken = Range.FULL if coloured else Range.LIMITED
    words = f"the file does not say its range; taken as {taken.value}, override with --range"
    doubts.append(Doubt(words, Settles.RANGE))
    return taken


def _matrix(
    tags: Tags,
    pixels: PixelFormat,
    rows: int,
    override: SignalOverride,
    doubts: list[Doubt],
    *,
    path: str,
) -> Matrix:
    if pixels.components is Components.RGB:
        return _MATRICES.get(tags.matrix, Matrix.BT709)
    if tags.matrix in _MATRICES:
        return _MATRICES[tags.matrix]
    if tags.matrix in _REFUSED and override.matrix is not None:
        return override.matrix
    if tags.matrix in _REFUSED:
        raise FeedFormatError(
            f"{path} uses the matrix {_REFUSED[tags.matrix]}, which cannot be measured; convert it "
            "to BT.709, BT.601 or BT.2020, or name one with --matrix"
        )
    taken = Matrix.BT709 if rows >= HD_ROWS else Matrix.BT601
    words = (
        f"the file does not say its matrix; taken as {taken.value} from its height, override with "
        "--matrix"
    )
    doubts.append(Doubt(words, Settles.MATRIX))
    return taken
