"""The time code that a file gives its first frame, wherever its container keeps it."""

from collections.abc import Iterator
from itertools import islice

import av
import av.container
import av.stream

from firmware.errors import TimeCodeError
from firmware.feeds.decoding import opened
from firmware.feeds.timecode import TimeCode, from_zero, parse_timecode

TAG = "timecode"
"""FFmpeg's name, in small letters in some containers and in capitals in others."""

PACKETS_LOOKED_AT = 64
"""The packet of a time code track is one of the first."""


def start_code(
    container: av.container.InputContainer, stream: av.stream.Stream, rate: float, path: str
) -> tuple[TimeCode, tuple[str, ...]]:
    """The time code of the pictures of `stream`, and what makes it less certain.

    Looked for with the pictures, then on a time code track (QuickTime's ``tmcd``), then with the
    file as a whole; counted from zero where there is none, or none that can be counted.
    """
    text = next(_tags(container, stream), None)
    if text is None:
        return from_zero(rate), ()
    try:
        return parse_timecode(text, rate, _count(path)), ()
    except TimeCodeError as fault:
        return from_zero(rate), (str(fault),)


def _tags(container: av.container.InputContainer, stream: av.stream.Stream) -> Iterator[str]:
    tracks = [each.metadata for each in container.streams.data]
    for tags in (stream.metadata, *tracks, container.metadata):
        for name, text in tags.items():
            if name.lower() == TAG and text.strip():
                yield text


def _count(path: str) -> int | None:
    """The frame count that a time code track holds, None without one.

    Its sample is a whole number of 32 bits, most significant byte first (QuickTime File Format
    Specification, "Timecode media"). It is read from a second look at the file: on the way to it
    pictures go by.
    """
    with opened(path) as container:
        tracks = [each for each in container.streams.data if TAG in each.metadata]
        if not tracks:
            return None
        try:
            for packet in islice(container.demux(tracks[0]), PACKETS_LOOKED_AT):
                if packet.size >= 4:
                    return int.from_bytes(bytes(packet)[:4], "big")
        except (av.FFmpegError, av.EOFError):
            return None
    return None
