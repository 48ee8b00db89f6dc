"""A still as a feed: PNG, TIFF, JPEG, BMP and what else decodes to whole codes."""

from dataclasses import replace
from pathlib import Path

import av

from firmware.clock import Clock
from firmware.errors import FeedFormatError
from firmware.feeds.base import FeedInfo, FeedState, Pace
from firmware.feeds.decoding import (
    bounded,
    check_file,
    codec_of,
    faults_of,
    format_of,
    open_picture,
    opened,
    tags_of,
    video_stream,
    views_of,
)
from firmware.feeds.pacing import Pacer
from firmware.feeds.pixel_formats import PixelFormat, pixel_format
from firmware.feeds.tags import Reading, read_tags
from firmware.feeds.tiff_tags import short_tag
from firmware.feeds.turning import as_shown, exif_turn, turn_of
from overlays.signal.frame import Frame
from overlays.signal.signal import Components, SignalOverride

REPEAT_RATE = 5.0
"""Times a second that a still is handed out again with Pace.LIVE."""
MOST_BYTES = 1 << 29
"""Of a still's file: 16-bit R'G'B' without compression, 9 000 pixels each way, fits."""

_FULL = 2
_BT601 = 5
_UNSPECIFIED = 2
_INKED = frozenset({"mjpeg", "tiff"})
_PHOTOMETRIC, _SEPARATED = 262, 5
_ONE_PICTURE = ("image2", "jpegls_pipe", "mjpeg")


class StillFeed:
    """One picture; see `firmware.feeds.base.Feed` for the contract.

    RGB and grey are read as full range with BT.709 weights unless told otherwise; a JPEG is read
    as full range with the BT.601 matrix (JFIF, ITU-T T.871).

    Raises
    ------
    FeedNotFoundError
        Nothing is at the path, or it cannot be read.
    FeedFormatError
        It is no still, is cut short, or its pixels cannot be measured.
    """

    def __init__(
        self,
        path: str,
        *,
        clock: Clock,
        pace: Pace,
        override: SignalOverride = SignalOverride(),  # noqa: B008 - frozen
    ) -> None:
        content = _content(check_file(path))
        if _float_picture(path):
            pixel_format("gbrpf32le", path)  # says what to do about it
        _check_whole(content, path)
        decoded, pixels, reading, codec = _decode(content, path, override)
        self._signal = reading.signal
        with faults_of(path):
            planes = views_of(decoded, pixels)
        turn = exif_turn(content) if codec == "mjpeg" else turn_of(decoded)
        seen = as_shown(planes, turn, reading.signal.subsampling, path)
        rows, columns = seen.planes[0].shape
        # The frame checks size and layout at the door; each read hands out a copy with a new time.
        self._frame: Frame | None = Frame(seen.planes, self._signal, pixels.shift)
        self._pace = pace
        self._pacer = Pacer(clock, pace, REPEAT_RATE)
        self._number = -1
        kind = reading.signal.components.value
        if reading.signal.components is Components.YCBCR:
            kind = f"{reading.signal.subsampling.value} {kind}"
        self._info = FeedInfo(
            name=path,
            description=(
                f"still, {codec}, {columns}x{rows} {pixels.bits}-bit "
                f"{'grey' if pixels.grey else kind}"
                f"{f', {seen.words} as the file asks' if seen.words else ''}"
            ),
            columns=columns,
            rows=rows,
            signal=reading.signal,
            rate=0.0,
            warnings=(*reading.warnings, *seen.warnings),
            is_live=False,
            own=reading.own,
            doubts=reading.doubts,
            curve=reading.curve,
            carriage=reading.carriage,
            gamut=reading.gamut,
        )

    @property
    def info(self) -> FeedInfo:
        """What is known of the still; never changes."""
        return self._info

    def read(self, timeout_s: float) -> Frame | FeedState:
        """The picture: once with Pace.STEP, again and again with Pace.LIVE."""
        if self._frame is None:
            return FeedState.GONE
        if self._pace is Pace.STEP and self._number >= 0:
            return FeedState.ENDED
        due = self._pacer.due(self._number, timeout_s)
        if due <= self._number:
            return FeedState.NO_FRAME_YET
        self._number = due
        return replace(self._frame, number=due, time_ns=self._pacer.time_ns(due))

    def release(self, frame: Frame) -> None:
        """Nothing to give back: the picture stays as long as the feed is open."""

    def close(self) -> None:
        """Let go of the picture; frames that are still held stay valid."""
        self._frame = None


def is_still(path: str) -> bool:
    """Whether a file is a single picture, by its content.

    Raises
    ------
    FeedNotFoundError, FeedFormatError
        Nothing is there, or it is neither picture nor video.
    """
    check_file(path)
    if _float_picture(path):
        return True
    with opened(path) as container:
        name = container.format.name
    return name.endswith("_pipe") or name in _ONE_PICTURE


def _content(path: Path) -> bytes:
    """All of a file, unless it cannot be a still: a header says little, and memory is bounded."""
    size = path.stat().st_size
    if size > MOST_BYTES:
        raise FeedFormatError(
            f"{path}: {size / 1e9:.1f} GB are too much for a still (at most "
            f"{MOST_BYTES / 1e9:.1f}); give footage a name that ends as its container does, as .mov"
        )
    return path.read_bytes()


def _float_picture(path: str) -> bool:
    """Whether a file starts like a Radiance picture or a portable float map (decoders vary)."""
    with Path(path).open("rb") as file:
        return file.read(10).startswith((b"#?RADIANCE", b"#?RGBE", b"PF\n", b"Pf\n"))


def _decode(
    content: bytes, path: str, override: SignalOverride
) -> tuple[av.VideoFrame, PixelFormat, Reading, str]:
    """The picture, how its samples lie, how they are to be read, and its codec."""
    container = open_picture(content, path)
    try:
        with faults_of(path):
            stream = video_stream(container, path)
            # TIFF's decoder takes an unknown tag for an error.
            strict = {} if stream.codec_context.name == "tiff" else {"err_detect": "explode"}
            bounded(stream, **strict)
            decoded = next(container.decode(stream), None)
        if decoded is None:
            raise FeedFormatError(f"{path} holds no picture that can be decoded; it is cut short")
        codec = codec_of(stream)
        if codec in _INKED and _has_four_inks(content, decoded):
            raise FeedFormatError(
                f"{path} holds four inks (CMYK), not the codes of a camera; save it as RGB"
            )
        pixels = format_of(decoded, codec, path)
        tags = tags_of(decoded, stream)
        tags = replace(
            tags,
            range=tags.range or _FULL,
            matrix=_BT601 if tags.matrix == _UNSPECIFIED else tags.matrix,
        )
        if pixels.components is Components.RGB:
            tags = replace(tags, matrix=_UNSPECIFIED, range=_FULL)
        return (
            decoded,
            pixels,
            read_tags(tags, pixels, decoded.height, codec, override, path),
            codec,
        )
    finally:
        container.close()


def _has_four_inks(content: bytes, decoded: av.VideoFrame) -> bool:
    """Whether it is made for print: a JPEG of four components, a TIFF that says "separated".

    JPEG has no alpha channel (ITU-T T.871, T.872); TIFF Revision 6.0 section 16.
    """
    fourth = len(decoded.format.components) == 4 and content.startswith(b"\xff\xd8")
    return fourth or short_tag(content, _PHOTOMETRIC) == _SEPARATED


def _check_whole(content: bytes, path: str) -> None:
    """Refuse a PNG or JPEG that is cut short: decoders fill what is missing with grey.

    PNG ends with an IEND chunk (ISO/IEC 15948 11.2.5); the last scan of a JPEG is followed by an
    EOI marker (ITU-T T.81 B.1.1.3), and neither marker can occur within the codes of a scan.
    """
    png = content.startswith(b"\x89PNG\r\n\x1a\n") and b"IEND" not in content[-1024:]
    jpeg = content.startswith(b"\xff\xd8\xff") and content.rfind(b"\xff\xd9") < content.rfind(
        b"\xff\xda"
    )
    if png or jpeg:
        raise FeedFormatError(
            f"{path} is cut short after {len(content)} bytes; copy it again from the card"
        )
