"""How much damage within JPEG frames is seen, and whether good ones are doubted.

    python -m tests.bench.jpeg_damage [--seed N] [--of N]

Pictures of known scenes go through several encoders, stand still or move; bytes and bits are
changed, cut out, doubled, emptied and exchanged. What is counted is damage that changes the
decoded picture and is taken for good all the same, and what it does to spots of 48x48 pixels.
"""

import argparse
import random
from collections import Counter
from collections.abc import Callable, Iterator
from fractions import Fraction

import av
import numpy as np

from firmware.v4l2.jpeg_check import JpegLook, look_at
from firmware.v4l2.jpeg_head import JpegDamageError
from firmware.v4l2.jpeg_neighbours import Neighbours, unlike
from tests.places import SCENES

ROWS, COLUMNS = 270, 480
SPOT = 48
KINDS = ("bit", "byte", "bytes", "cut", "doubled", "emptied", "exchanged", "taken out")


def encoded(picture, pixel_format="yuvj422p", quality=3, huffman="optimal"):
    """A picture (rows, columns, 3) as FFmpeg's encoder makes it."""
    context = av.CodecContext.create("mjpeg", "w")
    context.height, context.width = picture.shape[:2]
    context.pix_fmt, context.time_base = pixel_format, Fraction(1, 25)
    context.options = {"qmin": str(quality), "qmax": str(quality), "huffman": huffman}
    context.thread_count = 1
    frame = av.VideoFrame.from_ndarray(picture, format="rgb24").reformat(format=pixel_format)
    frame.pts = 0
    return b"".join(bytes(each) for each in [*context.encode(frame), *context.encode(None)])


def _by_opencv(*options) -> Callable[[np.ndarray], bytes]:
    import cv2

    made = [getattr(cv2, f"IMWRITE_JPEG_{name}") if isinstance(name, str) else name
            for name in options]  # fmt: skip
    return lambda picture: cv2.imencode(".jpg", picture[:, :, ::-1], made)[1].tobytes()


def encoders() -> dict[str, Callable[[np.ndarray], bytes]]:
    """By name; those of OpenCV where it is there."""
    made = {
        "FFmpeg 4:2:0": lambda picture: encoded(picture, "yuvj420p"),
        "FFmpeg 4:2:2, usual tables": lambda picture: encoded(picture, "yuvj422p", 2, "default"),
        "FFmpeg 4:4:4": lambda picture: encoded(picture, "yuvj444p", 5),
    }
    try:
        made["libjpeg 4:2:0"] = _by_opencv("QUALITY", 85)
        made["libjpeg, best tables"] = _by_opencv("QUALITY", 95, "OPTIMIZE", 1)
        made["libjpeg 4:2:2"] = _by_opencv("QUALITY", 90, "SAMPLING_FACTOR", "SAMPLING_FACTOR_422")
        # 480 columns of 4:2:0 are 30 units.
        made["libjpeg, a restart a row"] = _by_opencv("QUALITY", 85, "RST_INTERVAL", 30)
        made["libjpeg, a restart in 7 units"] = _by_opencv("QUALITY", 85, "RST_INTERVAL", 7)
    except ImportError:
        pass
    return made


def reels(count: int) -> dict[str, list[np.ndarray]]:
    """Pictures in order: of filmed clips, of a still that moves, stands and is noisy, with cuts."""
    made = {
        name: list(_clip(SCENES / "live" / name, count))
        for name in ("flower-540-8bit.mp4", "keyboard-1080-8bit-fullrange.mp4")
    }
    forest = next(_clip(SCENES / "s04-forest-8.mkv", 1, size=(1280, 720)))
    chart = next(_clip(SCENES / "s02-chart24-8.mkv", 1, size=(1280, 720)))
    draw = np.random.default_rng(5)
    # Steps of three pixels, over both ends of the picture.
    places = [3 * n % (720 - ROWS) for n in range(count)]
    made["forest, moved"] = [forest[n : n + ROWS, n : n + COLUMNS] for n in places]
    made["chart, still, with noise"] = [
        np.clip(chart[:ROWS, :COLUMNS] + draw.normal(0, 1.0, (ROWS, COLUMNS, 1)), 0, 255).astype(
            np.uint8
        )
        for _ in range(count)
    ]
    every = list(made.values())
    made["a cut at every picture"] = [every[n % 4][n % len(every[n % 4])] for n in range(count)]
    made["light that flashes"] = [_flashed(chart[:ROWS, :COLUMNS], n) for n in range(count)]
    return made


def _flashed(picture: np.ndarray, number: int) -> np.ndarray:
    """A flash that begins in the middle of a frame, as a shutter that rolls sees it."""
    lit = picture.astype(np.int32)
    lit[number * 7 % ROWS :] += 12 * (number % 5)
    return np.clip(lit, 0, 255).astype(np.uint8)


def _clip(path, count: int, size: tuple[int, int] = (COLUMNS, ROWS)) -> Iterator[np.ndarray]:
    with av.open(str(path)) as container:
        for number, frame in enumerate(container.decode(video=0)):
            if number == count:
                return
            yield frame.reformat(width=size[0], height=size[1], format="rgb24").to_ndarray()


def spoilt(data: bytes, draw: random.Random) -> tuple[str, bytes]:
    """A kind of damage, and what it leaves."""
    kind, out, size = draw.choice(KINDS), bytearray(data), len(data)
    at, length = draw.randrange(size), draw.randrange(1, 1024)
    if kind == "bit":
        out[at] ^= 1 << draw.randrange(8)
    elif kind == "byte":
        out[at] = (out[at] + draw.randrange(1, 256)) % 256
    elif kind == "bytes":
        for _ in range(draw.randrange(2, 20)):
            out[draw.randrange(size)] = draw.randrange(256)
    elif kind == "cut":
        out[at:] = b"\xff\xd9"
    elif kind == "doubled":
        out[at:at] = out[at : at + length]
    elif kind == "emptied":
        out[at : at + length] = bytes(len(out[at : at + length]))
    elif kind == "exchanged":
        one, two = out[at : at + length], out[at + length : at + 2 * length]
        out[at : at + 2 * length] = two + one
    else:
        del out[at : at + length]
    return kind, bytes(out)


def planes(data: bytes) -> list[np.ndarray] | None:
    """What a decoder makes of it; None where it makes nothing."""
    context = av.CodecContext.create("mjpeg", "r")
    context.thread_count = 1
    try:
        made = context.decode(av.Packet(data))
    except av.FFmpegError:
        return None
    return [
        np.frombuffer(memoryview(plane), np.uint8)
        .reshape(plane.height, plane.line_size)[:, : plane.width]
        .astype(np.int32)
        for plane in (made[-1].planes if made else ())
    ] or None


def is_seen(data: bytes, before: JpegLook) -> bool:
    """Whether damage is seen in a picture that follows a good one."""
    try:
        return unlike(look_at(data), before) is not None
    except JpegDamageError:
        return True


def spot_change(one: list[np.ndarray], two: list[np.ndarray]) -> tuple[int, float]:
    """Samples that differ, and the largest change of a spot's mean luma code."""
    differing = sum(int((a != b).sum()) for a, b in zip(one, two, strict=True))
    change = one[0] - two[0]
    rows, columns = (length // SPOT * SPOT for length in change.shape)
    spots = change[:rows, :columns].reshape(rows // SPOT, SPOT, columns // SPOT, SPOT)
    return differing, float(np.abs(spots.mean(axis=(1, 3))).max())


def doubted(pictures: list[bytes]) -> int:
    """How many good pictures of a reel are not trusted."""
    neighbours = Neighbours()
    return sum(neighbours.doubt(look_at(each)) is not None for each in pictures)


def main() -> None:
    """Print what was seen."""
    asked = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--of", type=int, default=20, help="damaged ones of each reel and encoder")
    asked.add_argument("--frames", type=int, default=60, help="good ones of each")
    options = asked.parse_args()
    draw, good, false = random.Random(options.seed), 0, 0
    tried, unseen = Counter(), Counter()
    effects = []
    for reel, pictures in reels(options.frames).items():
        for name, encoder in encoders().items():
            made = [encoder(picture) for picture in pictures]
            good, wrong = good + len(made), doubted(made)
            false += wrong
            if wrong:
                print(f"{reel}, {name}: {wrong} good pictures doubted")
            before, whole = look_at(made[-2]), planes(made[-1])
            for _ in range(options.of):
                kind, data = spoilt(made[-1], draw)
                got = planes(data)
                alike = got is not None and [p.shape for p in got] == [p.shape for p in whole]
                if alike and all((a == b).all() for a, b in zip(got, whole, strict=True)):
                    continue  # nothing of the picture has changed
                tried[reel, name, kind] += 1
                if got is not None and not is_seen(data, before):
                    unseen[reel, name, kind] += 1
                    effects.append((kind, *spot_change(got, whole)))
    report(tried, unseen, effects)
    print(f"good pictures doubted: {false} of {good}")


def report(tried: Counter, unseen: Counter, effects: list[tuple[str, int, float]]) -> None:
    """The rates by reel, encoder and kind, and the effects of what was not seen."""
    for part in range(3):
        for key in sorted({each[part] for each in tried}):
            of = sum(n for each, n in tried.items() if each[part] == key)
            missed = sum(n for each, n in unseen.items() if each[part] == key)
            print(f"{key:34} seen {of - missed} of {of}, {100 * (of - missed) / of:.1f} %")
    print(f"all: seen {tried.total() - unseen.total()} of {tried.total()}")
    few = [effect for _, differing, effect in effects if differing <= 128]
    many = [effect for _, differing, effect in effects if differing > 128]
    for words, part in (("at most 128 samples", few), ("more", many)):
        if part:
            low, high, most = np.quantile(part, [0.5, 0.95, 1.0])
            print(
                f"unseen in {words}: {len(part)}, mean of the worst spot off by {low:.3f} codes in "
                f"half of them, {high:.2f} in one of twenty, {most:.2f} at the most"
            )


if __name__ == "__main__":
    main()
