"""Every command that ends by itself, and the short files that it is run on: for `ends.py`."""

from fractions import Fraction
from pathlib import Path

import av
import numpy as np

from tests.clips import complaining, noisy, planes_frame, write

SPOTS = ("--at", "80,90,32", "--at", "160,90,32", "--at", "240,90,32")
TAKES: dict[str, tuple[str, ...]] = {
    "run": ("--frames", "3", "--size", "320x240"),
    "read": (),
    "expose": ("--aperture", "4"),
    "chips": SPOTS,
    "pins": SPOTS,
    "match": SPOTS,
    "watch": ("--seconds", "0.5"),
    "balance": (),
    "chart": (),
}
"""Commands that read a feed, with what they need besides; match gets its file twice."""
OF_CARDS = ("feedcheck", "characterise")
"""Commands that read cap, cards and clip: frames of one file."""
ALONE: dict[str, tuple[str, ...]] = {
    "doctor": (),
    "schema": (),
    "profiles": ("--curves",),
    "presets": ("{folder}",),
    "units": ("--preset", "{folder}/unit.toml"),
    "network": ("--device", "midgrey-none0"),
    "journal": ("--journal", "{folder}/journal.jsonl"),
    "update": ("--list",),
    "lineup": ("--screenshot", "{folder}/lineup.png", "--size", "320x240"),
    "selftest": ("--alone", "--only", "1", "{folder}/selftest.zip"),
}
"""Commands that read no feed; `{folder}` is where the files lie."""
EVERY = (*TAKES, *OF_CARDS, *ALONE)
PRESET = """[kit]
unit = "ends"
broker = "127.0.0.1:9"
password = "nobody's"
"""
"""Of a kit whose broker does not answer: nothing listens on the port that is for discarding."""
CARD_CODES = (16, *range(40, 236, 12), 240)
"""Luma of a cap, a bracket in third stops and a clip; what curve they are of is not the matter."""


def files(folder: Path) -> list[str]:
    """Short files, each another way of ending."""
    return [
        complaining(folder / "damaged.mp4"),
        write(folder / "clean.mp4", noisy(30), preset="ultrafast"),
        write(folder / "jpegs.avi", [_full(each) for each in noisy(20)], "mjpeg"),
        _still(folder / "still.png"),
    ]


def cards(folder: Path) -> str:
    """A cap, a bracket of a grey card and a clip, a frame each."""
    shape = np.random.default_rng(3).normal(0.0, 0.6, (96, 96))
    planes = [np.clip(np.rint(code + shape), 1, 254).astype(np.uint8) for code in CARD_CODES]
    return write(folder / "cards.mkv", [planes_frame(each) for each in planes], "ffv1")


def words_of(command: str, path: str, folder: Path) -> list[str]:
    """The words that run a command on a file."""
    if command in ALONE:
        return [command, *(word.format(folder=folder) for word in ALONE[command])]
    if command not in OF_CARDS:
        return [command, path, *([path] if command == "match" else []), *TAKES[command]]
    of, last = str(folder / "cards.mkv"), len(CARD_CODES) - 1
    cap, clip = ("--cap", f"{of}#0"), ("--clip", f"{of}#{last}")
    if command == "feedcheck":  # the card from each of the files: also from one that is damaged
        return [command, *cap, "--card", path, *clip]
    steps = [f"{of}#{n}@{(n - 9) / 3.0:.3f}" for n in range(1, last)]
    return [command, *cap, *(word for each in steps for word in ("--bracket", each)), *clip]


def _full(frame: av.VideoFrame) -> av.VideoFrame:
    return frame.reformat(format="yuvj420p")


def _still(path: Path) -> str:
    context = av.CodecContext.create("png", "w")
    frame = noisy(1)[0].reformat(format="rgb24")
    context.width, context.height, context.pix_fmt = frame.width, frame.height, "rgb24"
    context.time_base = Fraction(1, 25)
    path.write_bytes(b"".join(bytes(each) for each in [*context.encode(frame), *context.encode()]))
    return str(path)
