"""Video files and stills through PyAV: opening, decoding, and its faults as our sentences."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import av
import av.container
import av.logging
import av.video
import av.video.stream
import numpy as np
import numpy.typing as npt

from firmware.errors import FeedFormatError, FeedNotFoundError
from firmware.feeds.pixel_formats import PixelFormat, picture_planes, pixel_format
from firmware.feeds.tags import Reading, Tags, read_tags
from overlays.signal.frame import Plane, Planes
from overlays.signal.signal import SignalOverride

INTERLACED = "interlaced: its odd and even rows are two moments, read as one picture"
_LIFTING = frozenset({"jpeg2000"})
"""Codecs whose decoder lifts samples of fewer bits into words of 16."""
_DIFFERENT = 16
"""Different samples from which multiples of a number are no chance: 4 ** -16 at most."""

UNHELD = (ValueError, OverflowError, MemoryError)
"""How the library's binding answers to what it finds in damage and cannot hold: a size, a name, a
ratio."""
LONGEST_S = 15.0
"""For which a file is opened, or one packet of it waited for: a card that is read slowly needs a
second, and damage that leads round in circles would take for ever."""
MOST_PIXELS = 80_000_000
"""Of one picture: more than any camera's frame, and what a still of 16-bit R'G'B' has in half a
gigabyte. A damaged header can ask for two thousand million."""
_NAMES = "replace"
"""Names and tags that are no UTF-8, of other days or damaged, become signs that say so."""

DAMAGED = "damaged: the decoder made up a part of this picture"

# FFmpeg's messages on stderr would stand between a crew and our one sentence: nobody hears them.
# Any level of PyAV's own would hand errors to Python's logging, for which a decoder's thread takes
# the interpreter's lock; while the interpreter ends it never gets that, and the process hangs.
av.logging.set_level(None)


def check_file(path: str) -> Path:
    """The path, if a file with something in it lies there.

    Raises
    ------
    FeedNotFoundError
        Nothing is there, or it cannot be read.
    FeedFormatError
        It is a directory or empty.
    """
    place = Path(path)
    try:
        found = place.stat()
    except ValueError as fault:
        raise FeedNotFoundError(
            f"{path!r} is the name of no file; the path of footage or of a still is needed"
        ) from fault
    except OSError as fault:
        raise FeedNotFoundError(
            f"{path}: {(fault.strerror or 'cannot be looked at').lower()}; "
            "the path of footage or of a still is needed"
        ) from fault
    if place.is_dir():
        raise FeedFormatError(f"{path} is a directory; name one file in it")
    if not place.is_file():
        raise FeedFormatError(f"{path} is not a file; footage and stills are read from files")
    if found.st_size == 0:
        raise FeedFormatError(f"{path} is empty (0 bytes); copy it again from the card")
    return place


@contextmanager
def faults_of(path: str) -> Iterator[None]:
    """Turn what PyAV raises into one sentence of ours."""
    try:
        yield
    except PermissionError as fault:
        raise FeedNotFoundError(f"{path}: permission denied; make it readable") from fault
    except av.FFmpegError as fault:
        raise _unreadable(path, fault.strerror or "no reason given") from fault
    except UNHELD as fault:
        raise _unreadable(path, "its header makes no sense") from fault


def _unreadable(path: str, reason: str) -> FeedFormatError:
    return FeedFormatError(
        f"{path} is not a picture or video that can be read, or it is cut short ({reason.lower()})"
    )


@contextmanager
def opened(path: str) -> Iterator[av.container.InputContainer]:
    """A file of stills or video, closed afterwards."""
    container = open_container(path)
    try:
        yield container
    finally:
        container.close()


def open_container(path: str) -> av.container.InputContainer:
    """Open a video file; the caller closes it.

    Raises
    ------
    FeedNotFoundError, FeedFormatError
        See `check_file` and `faults_of`.
    """
    place = check_file(path)
    with faults_of(path):
        # The scheme keeps FFmpeg from taking a colon in the path for a protocol.
        return av.open(
            f"file:{place}", mode="r", metadata_errors=_NAMES, timeout=(LONGEST_S, LONGEST_S)
        )


def bounded(stream: av.video.stream.VideoStream, **options: str) -> None:
    """Set what a stream's decoder may take at the most, before it is begun."""
    stream.codec_context.options = {"max_pixels": str(MOST_PIXELS), **options}


def open_picture(content: bytes, path: str) -> av.container.InputContainer:
    """Open a still from its bytes, so that it is known by content and not by its name."""
    with faults_of(path):
        return av.open(BytesIO(content), mode="r", metadata_errors=_NAMES)


def video_stream(container: av.container.InputContainer, path: str) -> av.video.stream.VideoStream:
    """The first stream of pictures.

    Raises
    ------
    FeedFormatError
        There is none.
    """
    found = [each for each in container.streams.video if not _is_cover(each)]
    for stream in found:
        if is_known(stream):
            return stream
    if found:
        raise FeedFormatError(
            f"{path} holds video in a form that nothing here can decode; it is damaged, or "
            "needs to be written anew in another codec"
        )
    raise FeedFormatError(f"{path} holds no video; a file with a video stream is needed")


def is_known(stream: av.video.stream.VideoStream) -> bool:
    """Whether there is a decoder for it: the binding leaves a gap where there is none."""
    coder: object = stream.codec_context
    return coder is not None


def other_streams(container: av.container.InputContainer, path: str) -> tuple[str, ...]:
    """What is to be said of a file with more than one stream of pictures: which of them is read."""
    every = [each for each in container.streams.video if not _is_cover(each) and is_known(each)]
    if len(every) < 2:
        return ()
    read, sizes = every[0].codec_context, [each.codec_context for each in every]
    shown = ", ".join(f"{each.width}x{each.height}" for each in sizes)
    words = (
        f"{path} holds {len(every)} streams of pictures ({shown}): the first is read, "
        f"{read.width}x{read.height} {codec_of(every[0])}"
    )
    return (words,)


def _is_cover(stream: av.video.stream.VideoStream) -> bool:
    """Whether it is the cover art of a sound file, which is no footage."""
    return bool(stream.disposition & av.stream.Disposition.attached_pic)


def codec_of(stream: av.video.stream.VideoStream) -> str:
    """The codec's own name, which a decoder may not bear ("av1" of libdav1d)."""
    return stream.codec_context.codec.canonical_name


def tags_of(frame: av.VideoFrame, stream: av.video.stream.VideoStream) -> Tags:
    """The tags of a picture, or those of its stream where the picture has none."""
    coder = stream.codec_context
    # A picture has no transfer tag of its own before PyAV 16.
    matrix, transfer = int(frame.colorspace), int(getattr(frame, "color_trc", 2))
    primaries = int(getattr(frame, "color_primaries", 2))
    return Tags(
        range=int(frame.color_range) or int(coder.color_range),
        matrix=int(coder.colorspace) if matrix == 2 else matrix,
        transfer=int(coder.color_trc) if transfer in {0, 2} else transfer,
        primaries=int(coder.color_primaries) if primaries in {0, 2} else primaries,
    )


def views_of(frame: av.VideoFrame, pixels: PixelFormat) -> Planes:
    """Three views on a decoded picture; they keep it alive."""
    return picture_planes(pixels, tuple(frame.planes), frame.height, frame.width)


def reading_of(
    frame: av.VideoFrame,
    stream: av.video.stream.VideoStream,
    override: SignalOverride,
    path: str,
) -> tuple[PixelFormat, Reading]:
    """How the codes of a decoded picture lie and are to be read."""
    codec = codec_of(stream)
    pixels = format_of(frame, codec, path)
    tags = tags_of(frame, stream)
    return pixels, read_tags(tags, pixels, frame.height, codec, override, path)


def format_of(frame: av.VideoFrame, codec: str, path: str) -> PixelFormat:
    """The format of a decoded picture, with fewer bits than its words where it carries fewer.

    Decoders lift samples of 10, 12 or 14 bits to the upper end of 16 where they have no format of
    their own for them (FFmpeg's JPEG 2000 decoder does for R'G'B' of 12 bits: full scale is then
    65520). PyAV does not hand on the codec's bits per raw sample, so the samples tell: all of a
    grid over the three planes are multiples of 4, 16 or 64.
    """
    pixels = pixel_format(frame.format.name, path)
    if pixels.bits != 16:
        return pixels
    samples = np.concatenate([_grid(plane) for plane in views_of(frame, pixels)])
    empty = empty_bits(samples)
    # One picture of few levels proves nothing, but of a codec that is known to lift them.
    if np.unique(samples).size < _DIFFERENT and codec not in _LIFTING:
        return pixels
    return replace(pixels, bits=16 - empty, shift=empty)


def _grid(plane: Plane) -> npt.NDArray[np.uint16]:
    """Some 4096 samples, spread over a plane."""
    return np.asarray(plane[:: -(-plane.shape[0] // 64), :: -(-plane.shape[1] // 64)].ravel())


def empty_bits(samples: npt.NDArray[np.uint16]) -> int:
    """Low bits, 0, 2, 4 or 6, that no 16-bit sample has set; 4 where none has any set (black)."""
    used = int(np.bitwise_or.reduce(samples))
    if used == 0:
        return 4
    return min(6, ((used & -used).bit_length() - 1) // 2 * 2)


def notes_of(frame: av.VideoFrame) -> tuple[str, ...]:
    """What is to be said of one picture."""
    notes = (INTERLACED,) if frame.interlaced_frame else ()
    return (*notes, DAMAGED) if frame.is_corrupt else notes
