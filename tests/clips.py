"""Video files that are hard to read, made at test time by PyAV alone."""

import struct
from collections.abc import Iterable, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any, TypeAlias

import av
import numpy as np

AnyPacket: TypeAlias = "av.Packet[Any]"

GREY = 128


def planes_frame(luma: np.ndarray) -> av.VideoFrame:
    """A neutral 4:2:0 picture of 8-bit luma codes, (rows, columns) of even size."""
    rows, columns = luma.shape
    frame = av.VideoFrame(columns, rows, "yuv420p")
    plane = frame.planes[0]
    padded = np.zeros((rows, plane.line_size), np.uint8)
    padded[:, :columns] = luma
    plane.update(padded.tobytes())
    for chroma in frame.planes[1:]:
        chroma.update(bytes([GREY]) * chroma.buffer_size)
    return frame


def noisy(count: int, columns: int = 320, rows: int = 180) -> list[av.VideoFrame]:
    """Pictures with much to code in them, each another one."""
    ground = np.random.default_rng(1).integers(60, 180, (rows, columns), dtype=np.uint8)
    return [planes_frame(np.roll(ground, number, 1)) for number in range(count)]


def write(
    path: Path,
    frames: Sequence[av.VideoFrame],
    codec: str = "libx264",
    *,
    hurt: int = 0,
    **options: str,
) -> str:
    """A clip at 25 frames a second; `hurt` bytes of every packet are noise."""
    dice = np.random.default_rng(2)
    # What an MP4 announces lies before its pictures, so that it is still there where those end.
    muxing = {"movflags": "faststart"} if path.suffix == ".mp4" else {}
    with av.open(str(path), "w", options=muxing) as container:
        stream = container.add_stream(codec, rate=25, options=options)
        assert isinstance(stream, av.VideoStream)
        stream.width, stream.height = frames[0].width, frames[0].height
        stream.pix_fmt = frames[0].format.name

        def keep(packets: Iterable[AnyPacket]) -> None:
            for packet in packets:
                container.mux(_hurt(packet, hurt, dice) if hurt else packet)

        for number, frame in enumerate(frames):
            frame.pts, frame.time_base = number, Fraction(1, 25)
            keep(stream.encode(frame))
        keep(stream.encode(None))
    return str(path)


def _hurt(packet: AnyPacket, count: int, dice: np.random.Generator) -> AnyPacket:
    data = bytearray(bytes(packet))
    at = len(data) * 2 // 3
    data[at : at + count] = dice.integers(0, 256, count, dtype=np.uint8).tobytes()
    made = av.Packet(bytes(data))
    made.pts, made.dts, made.time_base = packet.pts, packet.dts, packet.time_base
    made.stream, made.is_keyframe = packet.stream, packet.is_keyframe
    return made


def complaining(path: Path, count: int = 40) -> str:
    """A clip whose decoder has something to log in every picture, as long as it decodes."""
    return write(path, noisy(count), hurt=24, preset="ultrafast", g="1", crf="20")


def flat(code: int, columns: int = 64, rows: int = 48) -> av.VideoFrame:
    """A picture of one luma code."""
    return planes_frame(np.full((rows, columns), code, np.uint8))


def timed(
    path: Path, frames: Iterable[tuple[int, av.VideoFrame]], codec: str = "ffv1", rate: int = 25
) -> str:
    """A clip whose pictures are shown at these milliseconds; `rate` is what it says it has."""
    with av.open(str(path), "w") as container:
        stream = container.add_stream(codec, rate=rate)
        assert isinstance(stream, av.VideoStream)
        stream.codec_context.time_base = Fraction(1, 1000)
        for number, (at_ms, frame) in enumerate(frames):
            if number == 0:
                stream.width, stream.height = frame.width, frame.height
                stream.pix_fmt = frame.format.name
            frame.pts, frame.time_base = at_ms, Fraction(1, 1000)
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return str(path)


def edited(path: Path, count: int = 60, before: int = 10) -> str:
    """An MP4 with B-frames whose edit list leaves out the first pictures: they come as packets."""
    whole = path.with_suffix(".whole.mp4")
    write(whole, [flat(20 + number) for number in range(count)], bf="3")
    options = {"avoid_negative_ts": "disabled"}
    with av.open(str(whole)) as given, av.open(str(path), "w", options=options) as made:
        (stream,) = given.streams.video
        other = made.add_stream_from_template(stream)
        assert stream.time_base is not None
        by = int(Fraction(before, 25) / stream.time_base)
        for packet in given.demux(stream):
            if packet.dts is None or packet.pts is None:
                continue  # the empty one at the end
            packet.dts, packet.pts, packet.stream = packet.dts - by, packet.pts - by, other
            made.mux(packet)
    return str(path)


def lying(path: Path, matrix: tuple[int, int, int, int], **picture: int) -> str:
    """An MP4 or MOV whose track header has this (a, b, c, d) in its matrix.

    ISO/IEC 14496-12, 8.3.2: version 0 of the box has 40 bytes between its name and the matrix of
    nine numbers, 16.16 fixed point but the last of each row.
    """
    if not path.exists():
        write(path, [flat(40, **picture)], "mpeg4")
    data = bytearray(path.read_bytes())
    at = data.index(b"tkhd") + 4
    assert data[at] == 0
    assert struct.unpack_from(">9i", data, at + 40) == (65536, 0, 0, 0, 65536, 0, 0, 0, 1 << 30)
    a, b, c, d = (value << 16 for value in matrix)
    struct.pack_into(">9i", data, at + 40, a, b, 0, c, d, 0, 0, 0, 1 << 30)
    path.write_bytes(data)
    return str(path)


def with_two_streams(path: Path) -> str:
    """Two streams of pictures, 64x48 and 128x96."""
    with av.open(str(path), "w") as container:
        streams = []
        for columns, rows in ((64, 48), (128, 96)):
            stream = container.add_stream("ffv1", rate=25)
            assert isinstance(stream, av.VideoStream)
            stream.width, stream.height, stream.pix_fmt = columns, rows, "yuv420p"
            streams.append(stream)
        for stream in streams:
            frame = flat(90, stream.width, stream.height)
            frame.pts, frame.time_base = 0, Fraction(1, 25)
            container.mux([*stream.encode(frame), *stream.encode(None)])
    return str(path)


def _segment(marker: int, content: bytes) -> bytes:
    return b"\xff" + bytes([marker]) + struct.pack(">H", len(content) + 2) + content


def cmyk_jpeg() -> bytes:
    """The smallest JPEG of four components: one grey block of each (ITU-T T.81, T.872)."""
    components = (1, 2, 3, 4)
    table = bytes([1] + [0] * 15) + b"\0"  # one code of one bit: nothing follows
    return b"".join(
        (
            b"\xff\xd8",
            _segment(0xEE, b"Adobe\0\x64\0\0\0\0\0"),
            _segment(0xDB, b"\0" + bytes([1]) * 64),
            _segment(
                0xC0,
                struct.pack(">BHHB", 8, 8, 8, 4)
                + b"".join(bytes([number, 0x11, 0]) for number in components),
            ),
            _segment(0xC4, b"\0" + table),
            _segment(0xC4, b"\x10" + table),
            _segment(0xDA, b"\x04" + b"".join(bytes([n, 0]) for n in components) + b"\0\x3f\0"),
            b"\0\xff\xd9",
        )
    )


def with_orientation(jpeg: bytes, orientation: int) -> bytes:
    """A JPEG with Exif data that hold this and nothing else (CIPA DC-008)."""
    entry = struct.pack("<HHIHH", 274, 3, 1, orientation, 0)
    exif = b"Exif\0\0II*\0\x08\0\0\0" + struct.pack("<H", 1) + entry + bytes(4)
    return jpeg[:2] + _segment(0xE1, exif) + jpeg[2:]
