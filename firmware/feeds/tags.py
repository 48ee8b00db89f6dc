"""What the tags of a file say of its signal, and what is taken where they say nothing.

The numbers of the tags are those of ITU-T H.273 (colour primaries, transfer characteristics, matrix
coefficients), which FFmpeg hands on; its colour range is 1 for limited and 2 for full.
"""

from dataclasses import dataclass

from firmware.errors import FeedFormatError
from firmware.feeds.base import Doubt, Settles
from firmware.feeds.pixels import PixelFormat
from overlays.signal.curves import Curve
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
_CURVES = {1: "BT.709", 6: "BT.709", 14: "BT.709", 15: "BT.709", 16: "PQ", 18: "HLG"}
# H.273 calls 6, 14 and 15 (BT.601 and BT.2020) functionally the same as 1.


@dataclass(frozen=True, slots=True)
class Tags:
    """The tags of one decoded picture, as H.273 numbers (range: 0 unknown, 1 limited, 2 full)."""

    range: int
    matrix: int
    transfer: int


@dataclass(frozen=True, slots=True)
class Reading:
    """How the codes of a file are to be read.

    Attributes
    ----------
    signal, own:
        With what was said against the tags, and what the tags say alone.
    warnings, doubts:
        What makes it less certain, and what does so unless range and matrix are said.
    curve:
        That the tags name; None mostly.
    """

    signal: Signal
    own: Signal
    warnings: tuple[str, ...]
    doubts: tuple[Doubt, ...]
    curve: Curve | None


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
    )
    name = _CURVES.get(tags.transfer)
    curve = None if name is None else published_curve(name)
    return Reading(override.over(own), own, tuple(warnings), tuple(doubts), curve)


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
