"""Fuzzing of parsers that follows which lines of ours a text reaches, by atheris.

    pip install atheris
    nice -n 15 python -m tests.fuzz.guided profile -runs=5000 -timeout=20 -rss_limit_mb=1024

What is not one of our own faults ends it, with the text kept in a file of its own. atheris sees
lines of Python and nothing of libraries in C: media files are the business of `tests.fuzz.run`.
"""

import random
import sys
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from firmware.errors import FirmwareError
from overlays.errors import OverlayError

ROOMS = (
    *("firmware.profiles", "firmware.written", "firmware.feeds.bench.bench_options"),
    *(
        "overlays.wording",
        "firmware.feeds.camera_options",
        "firmware.feeds.v4l2_spec",
        "overlays.measure.chart",
    ),
    *("overlays.signal",),
)


def parsers(folder: Path) -> dict[str, Callable[[str], object]]:
    """What a text is given to, by the name of its kind."""
    load = import_module

    def profile(text: str) -> object:
        path = folder / "mine.toml"
        path.write_text(text, encoding="utf-8", errors="surrogateescape")
        return load("firmware.profiles.reader").read_profile(path)

    def option(text: str) -> object:
        head, _, rest = text.partition("\n")
        module, name = OPTIONS[len(head) % len(OPTIONS)]
        return getattr(load(module), name)(rest)

    return {
        "profile": profile,
        "chart": lambda text: load("overlays.measure.chart.chart_file").chart_from_text(text, "x"),
        "option": option,
    }


OPTIONS = (
    ("firmware.written.spot_place", "parse_spot"),
    ("firmware.written.corners", "parse_layout"),
    ("firmware.written.arguments", "parse_size"),
    ("firmware.feeds.bench.bench_options", "bench_options"),
    ("firmware.feeds.camera_options", "camera_options"),
    ("firmware.feeds.v4l2_spec", "capture_of"),
    ("firmware.profiles.number_with_unit", "parse_level"),
    ("firmware.profiles.number_with_unit", "parse_share"),
    ("firmware.profiles.balance_table", "parse_kelvin"),
    ("firmware.profiles.balance_table", "parse_tint"),
    ("firmware.profiles.camera_table", "parse_rate"),
)


def seeds(kind: str, count: int = 40) -> list[str]:
    """Texts to begin with."""
    dice = random.Random(5)
    if kind == "option":
        words = import_module("tests.fuzz.arguments").WORDS
        return ["x" * dice.randrange(11) + "\n" + word for word in words]
    made = {"profile": ("profiles", "profile"), "chart": ("charts", "chart")}[kind]
    make = getattr(import_module(f"tests.fuzz.{made[0]}"), made[1])
    return [make(dice) for _ in range(count)]


def tried(parse: Callable[[str], object], data: bytes) -> None:
    """Give a text to a parser, which may refuse it with a fault of ours and nothing else."""
    try:
        parse(data.decode("utf-8", errors="replace"))
    except (FirmwareError, OverlayError):
        return


def main() -> None:
    """Run from the command line; libFuzzer's own options go behind the kind."""
    guided: Any = import_module("atheris")
    kind, *rest = sys.argv[1:]
    with TemporaryDirectory() as place:
        folder = Path(place)
        with guided.instrument_imports(include=list(ROOMS)):
            parse = parsers(folder)[kind]
            corpus = folder / "corpus"
            corpus.mkdir()
            for number, text in enumerate(seeds(kind)):
                (corpus / f"{number}").write_text(text, encoding="utf-8", errors="replace")
            tried(parse, seeds(kind)[0].encode(errors="replace"))  # imports within
        guided.Setup([sys.argv[0], *rest, str(corpus)], lambda data: tried(parse, data))
        guided.Fuzz()


if __name__ == "__main__":
    main()
