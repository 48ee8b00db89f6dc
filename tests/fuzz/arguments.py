"""Command lines of every command and option: what people type, and what nobody would."""

import random
from collections.abc import Sequence
from pathlib import Path

from firmware.commands.build import fields_of
from firmware.commands.own import DOCTOR, SCHEMA
from firmware.instruments.registry import REGISTRY
from firmware.written.declared import Argument
from tests.fuzz.cases import kept

FEEDS = (
    *(
        "bench:size=160x90",
        "bench:size=160x90,exposure=2",
        "bench:size=\u00b2x\u00b2",
        "bench:",
        "bench:x",
    ),
    *("bench:size=160x90,kelvin=nan", "bench:size=160x90,seed=1e400", "bench:size=99999999x1"),
    *("bench:size=160x90,exposure=" + "9" * 5000, "bench:size=160x90,curve=V-Log,carriage=full"),
    *(
        "v4l2:",
        "v4l2:/dev/null",
        "v4l2:/dev/video0,size=4\u00b2x5",
        "v4l2:/nosuch,lanes=9",
        "camera:raw",
    ),
    *(
        "camera:number=\u00b2",
        "camera:size=9" + "9" * 400 + "x2",
        "/dev/null",
        "/",
        "",
        " ",
        "~nobody",
    ),
    *(
        "nosuch.mov",
        "x.uyvy:size=\u00b2x2",
        "x.uyvy:size=" + "9" * 5000 + "x2",
        "\udcff.png",
        "a\0b",
    ),
)
WORDS = (
    *("0", "1", "-1", "5", "24", "800", "5.6", "T2.1", "180", "1/50", "0.6", "nan", "inf", "1e400"),
    *(
        "9" * 30,
        "9" * 5000,
        "\u00b2",
        "\u0663",
        "0.5,0.5",
        "0.5,0.5,8",
        "80,45,8",
        "80,45,8x6",
        "1e9,1",
    ),
    *(
        "-5,2,3",
        "a,b",
        ",",
        "",
        " ",
        "0.1,0.1,0.9,0.1,0.9,0.9,0.1,0.9",
        "limited",
        "full",
        "stretched",
    ),
    *(
        "BT.709",
        "BT.2020",
        "V-Log",
        "S-Log3",
        "narrow",
        "standard",
        "~nobody",
        "~nosuchuser",
        "6x4",
    ),
    *(
        "~nosuchuser/x.toml",
        "\u00b2x\u00b2",
        "since-2014",
        "neutrals",
        "5600",
        "5600 K",
        "+3",
        "3 steps",
    ),
    *(
        "/",
        "/dev/null",
        "\udcff",
        "a\0b",
        "--",
        "-",
        "--json",
        "50 Hz",
        "0.1 st",
        "1000 %",
        "100,50,20,20",
    ),
)
BOUNDED = {"watch": ("--frames", "3")}


def case(dice: random.Random, folder: Path) -> Sequence[Sequence[str]]:
    """A command line."""
    kept(folder, "x.uyvy", bytes(160 * 90 * 2))
    commands = [*REGISTRY.commands(), DOCTOR, SCHEMA]
    command = dice.choice(commands)
    words = [command.name]
    tame = dice.random() < 0.5
    for field in fields_of(command.options):
        declared = field.declared
        value = dice.choice(WORDS)
        if isinstance(declared, Argument):
            usual = FEEDS[0] if tame or dice.random() < 0.6 else dice.choice(FEEDS)
            words.append(usual if declared.metavar.startswith("FEED") else value)
        elif dice.random() < (0.25 if tame else 0.4):
            words.append(declared.flag)
            if declared.metavar:
                words.append(_value(declared.flag, value, folder, dice))
    if command.name in BOUNDED and "--frames" not in words:
        words += BOUNDED[command.name]
    if dice.random() < 0.1:
        words.insert(dice.randrange(1, len(words) + 1), dice.choice(WORDS))
    return [words]


def _value(flag: str, value: str, folder: Path, dice: random.Random) -> str:
    """Files are written below the case's own folder only."""
    if flag in {"--picture", "--cdl", "--cdl-whole", "--out", "--save", "--screenshot", "--stats"}:
        return str(folder / "out" / dice.choice(("x.png", "x.cdl", "x.cc", "x", "y.json")))
    if flag == "--frames":
        return dice.choice(("1", "2", "0", "-1", "x", "1e3", "\u00b2", "3"))
    return value
