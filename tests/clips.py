"""Video files that are hard to read, made at test time by PyAV alone."""

from collections.abc import Iterable, Sequence
from fractions import Fraction
from pathlib import Path

import av
import numpy as np

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
    with av.open(str(path), "w") as container:
        stream = container.add_stream(codec, rate=25, options=options)
        assert isinstance(stream, av.VideoStream)
        stream.width, stream.height = frames[0].width, frames[0].height
        stream.pix_fmt = frames[0].format.name

        def keep(packets: Iterable[av.Packet]) -> None:
            for packet in packets:
                container.mux(_hurt(packet, hurt, dice) if hurt else packet)

        for number, frame in enumerate(frames):
            frame.pts, frame.time_base = number, Fraction(1, 25)
            keep(stream.encode(frame))
        keep(stream.encode(None))
    return str(path)


def _hurt(packet: av.Packet, count: int, dice: np.random.Generator) -> av.Packet:
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
