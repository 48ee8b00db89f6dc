"""Folders of presets as laptops leave them: every key, any value, any bytes, any files."""

import os
import random
import shutil
from collections.abc import Sequence
from pathlib import Path

from firmware.actions import Press
from tests.fuzz import profiles

KEYS = {
    "title": ('"Day"', '"\u00e9\u00e8"'),
    "notes": ('""', '"""two\nlines"""'),
    "feed": ('"bench"', '"v4l2:/dev/video0"', '"gone.mov"'),
    "profile": ('"hlg"', '"log-v"', '"nonesuch"', '"/etc/passwd"', '"/dev/zero"', '"../x.toml"'),
    "curve": ('"V-Log"', '"x"'),
    "carriage": ('"full"', '"x"'),
    "range": ('"limited"', '"x"'),
    "matrix": ('"BT.709"', '"x"'),
    "view": ('"watch"', '"target"', '"x"'),
    "rotate": ("90", "45", '"90"'),
    "target": ('"-1 st"', '"42 %"', "5"),
    "target_within": ('"0.3 st"', '"5 %"', '"1e400 st"'),
    "lock": ("true", "false", "1", '"yes"'),
    "lock_allows": ("[]", '["spot"]', '["spot", "clear", "mark"]', '"spot"', "[1]", "[[]]"),
    "lock_code": ('"hold stripes hold next_view"', '"hold"', "[]"),
    "nonsense": ("1",),
}
ENCODINGS = ("utf-8", "utf-8", "utf-8", "utf-8-sig", "latin-1", "utf-16", "cp037")
NAMES = ("day", "night", "._day", "midgrey", "MIDGREY", "x" * 200, "\u00e9", "a b")


def preset(dice: random.Random) -> str:
    """The text of a preset; most have few mistakes, so that what lies behind them is reached."""
    wild = dice.choice((0.0, 0.0, 0.05, 0.3))
    lines = []
    for key, usual in KEYS.items():
        if dice.random() < 0.4:
            value = dice.choice(profiles.EVERYTHING if dice.random() < wild else usual)
            lines.append(f"{key} = {value}")
    if dice.random() < 0.2:
        words = " ".join(dice.choice(list(Press)).name.lower() for _ in range(dice.randrange(20)))
        lines.append(f'lock_code = "{words}"')
    text = dice.choice(("\n", "\r\n", "\r")).join(lines)
    return text if dice.random() > wild else profiles.cut_up(text or "x", dice)


def content(dice: random.Random) -> bytes:
    """The bytes of one file."""
    if dice.random() < 0.05:
        return dice.choice((b"\0" * 300_000, b"[" * 5000, dice.randbytes(400), b""))
    return preset(dice).encode(dice.choice(ENCODINGS), errors="replace")


def case(dice: random.Random, folder: Path) -> Sequence[Sequence[str]]:
    """A folder that is listed, and checked with every mistake of every file."""
    place = folder / "boot"
    shutil.rmtree(place, ignore_errors=True)
    place.mkdir()
    for name in dice.sample(NAMES, dice.randrange(4)):
        path = place / f"{name}{dice.choice(('.toml', '.TOML', '.txt'))}"
        kind = dice.random()
        if kind < 0.04:
            path.symlink_to(dice.choice(("/dev/zero", "/etc/passwd", str(path))))
        elif kind < 0.06:
            path.mkdir()
        elif kind < 0.08:
            os.mkfifo(path)
        elif name.casefold() == "midgrey" and kind < 0.6:
            path.write_text(f'boot = "{dice.choice(NAMES)}"', encoding="utf-8")
        else:
            path.write_bytes(content(dice))
    return [["presets", str(place)]]
