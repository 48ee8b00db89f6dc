"""Profiles with every key and values of every kind, and what is measured with those that pass."""

import random
from collections.abc import Sequence
from pathlib import Path

from tests.fuzz.cases import kept

BENCH = "bench:size=160x90,cloud=0"
_NUMBERS = (
    *("0", "-0.0", "1", "2", "10", "0.18", "-1", "1e-300", "1e300", "5e-324", "1e18", "-1e18"),
    *("inf", "nan", "1e-9", "0.01", "0.08", "0.25", "0.4", "3", "65", "9" * 40, "9" * 400),
    *("9" * 5000, "0x7fffffffffffffff", "true", '"text"', "[1, 2]", "{a = 1}", "1979-05-27"),
)
_LEVELS = (
    *('"0 st"', '"6 st"', '"-7.5 st"', '"95 %"', '"2 %"', '"18.5%"', '"100 %"', '"109 %"'),
    *('"30 st"', '"-30 st"', '"1000 %"', '"0 %"', '"+1,5 st"', f'"{"9" * 5000} st"', "5", "1e400"),
    *('"\u00b2 st"', '"\u0663 st"', '"nan st"', '""', "[]", "true"),
)
_WORDS = (
    *('"limited"', '"full"', '"BT.709"', '"BT.2020"', '"V-Log"', '"S-Log3"', '"HLG"', '"narrow"'),
    *('"50 Hz"', '"60 Hz"', '"\u00e9\u00e8"', '"\\u0000"', '"' + "x" * 5000 + '"', "[[[]]]", "7"),
    *('"1/3 st"', '"1 st"', '["1 st"]', "{}", "9" * 400, "-5", '"5600 K"', '"+3 thousandths"'),
    *('"3 steps"', '"25 fps"', "23.976", '"0.1 st"', '"4.4 %"'),
)
_SETTINGS = (
    *('"5.6"', '"T2.1"', '"f/8"', '"800"', '"ISO 100"', '"0.6"', '"ND 1.2"', '"1/64"', '"180 deg"'),
    *('"1/50 s"', '"1/0 s"', '"0"', '"none"', f'"{"9" * 5000}"', "5", "1e300", "9" * 400, "nan"),
    *('["5.6"]', '"0.3 + 0.6"', '"1/1e9 s"', '"\u00bd"', "true"),
)
_TITLES = ('"mine"', '"\u00e9\u00e8"')
_NAMED = ('"BT.709"', '"V-Log"', '"S-Log3"', '"HLG"')
_SHARES, _CARRIAGES = ('"4.4 %"', '"0.1 %"'), ('"full"', '"narrow"')
_PLACES = ("0.5", "0.25")
_USUAL = {
    "target": ('"0 st"', '"42 %"', '"-1 st"'),
    "clip": ('"100 %"', '"95 %"', '"90 %"'),
    "floor": ('"2 %"', '"0 %"', '"5 %"'),
    "dial": ('"5600 K"', "3200"),
    "tint": ('"+3 thousandths"', "0"),
    "tolerance": ('"3 steps"', '"1 steps"'),
    "level": ('"0.1 st"', '"0.5 st"'),
    "balance": ('"0.1 st"', '"0.05 st"'),
    "steps": ('"1/3 st"', '"1 st"'),
}
_MARKED = {
    "nd": ('"0"', '"0.6"', '"1.2"', '"2.1"'),
    "aperture": ('"2.8"', '"5.6"', '"11"', '"22"'),
    "iso": ('"100"', '"800"', '"3200"', '"12800"'),
    "shutter": ('"1/50 s"', '"1/100 s"', '"180 deg"', '"1/25 s"'),
}
EVERYTHING = (*_NUMBERS, *_LEVELS, *_WORDS, *_SETTINGS)
_CURVE_KEYS = (
    *("base", "log_side_slope", "log_side_offset", "lin_side_slope", "lin_side_offset"),
    *("lin_side_break", "linear_slope"),
)
_TAMES = {
    "base": ("2", "10", "2.0", "10.0"),
    "log_side_slope": ("0.05", "0.08", "0.25", "0.1"),
    "log_side_offset": ("0.4", "0.5", "0.55"),
    "lin_side_slope": ("1.0", "5.0", "0.9"),
    "lin_side_offset": ("0.0", "0.01", "0.05"),
    "lin_side_break": ("0.01", "0.005", "0.1"),
    "linear_slope": ("1.0", "5.0", "0.5"),
}


def profile(dice: random.Random) -> str:
    """The text of a profile; most have few mistakes, so that what lies behind them is reached."""
    wild = dice.choice((0.0, 0.0, 0.02, 0.05, 0.3))

    def one(usual: Sequence[str]) -> str:
        return dice.choice(EVERYTHING if dice.random() < wild else usual)

    is_table = dice.random() < 0.7
    lines = [f"title = {one(_TITLES)}"]
    lines += [] if is_table else [f"curve = {one(_NAMED)}"]
    lines += [f"{key} = {one(_USUAL[key])}" for key in _some(dice, ("target", "clip", "floor"))]
    lines += [f"{key} = {one(_SHARES)}" for key in _some(dice, ("spot", "speck"))]
    if dice.random() < 0.3:
        lines.append(f"carriage = {one(_CARRIAGES)}")
    if dice.random() < 0.4:
        within = one(('"0.2 st"', '"1 st"'))
        lines.append(f"stripes = [{{at = {one(_USUAL['target'])}, within = {within}}}]")
    if dice.random() < 0.3:
        lines.append(f"pins = [{{x = {one(_PLACES)}, y = 0.5, name = {one(_TITLES)}}}]")
    if is_table:
        lines += ["[curve]", f"name = {one(_TITLES)}"]
        extreme = dice.choice((0.0, 0.0, 0.2, 0.5))
        keys = _CURVE_KEYS if dice.random() < 0.6 else _CURVE_KEYS[:5]
        lines += [
            f"{key} = {_extreme(dice) if dice.random() < extreme else one(_TAMES[key])}"
            for key in keys
        ]
    for kind, marked in _MARKED.items():
        if dice.random() < 0.3:
            lines.append(f"[camera.{kind}]")
            low, *_, high = marked
            ends = {"lowest": (low,), "highest": (high,), "now": marked, "steps": _USUAL["steps"]}
            lines += [f"{key} = {one(usual)}" for key, usual in ends.items()]
    for table, keys in (
        ("balance", ("dial", "tint", "tolerance")),
        ("watch", ("level", "balance")),
    ):
        if dice.random() < 0.3:
            lines += [f"[{table}]", *(f"{key} = {one(_USUAL[key])}" for key in keys)]
    text = "\n".join(lines) + "\n"
    return text if dice.random() > wild else cut_up(text, dice)


def _some(dice: random.Random, keys: Sequence[str]) -> list[str]:
    return [key for key in keys if dice.random() < 0.4]


def _extreme(dice: random.Random) -> str:
    number = dice.choice((1.0, 1.0, 1.0, -1.0)) * 10.0 ** dice.uniform(-12.0, 12.0)
    return repr(number)


def cut_up(text: str, dice: random.Random) -> str:
    at, end = sorted((dice.randrange(len(text)), dice.randrange(len(text))))
    return dice.choice(
        (text[:at] + text[end:], text[:at] + text[at:end] * 3 + text[end:], text[:end])
    )


def case(dice: random.Random, folder: Path) -> Sequence[Sequence[str]]:
    """A profile that is checked, and then measured and advised with."""
    text = profile(dice).encode("latin-1" if dice.random() < 0.02 else "utf-8", errors="replace")
    path = kept(folder, "mine.toml", text)
    feed = f"{BENCH},exposure={dice.choice((-8, -2, 0, 1, 3, 8))}"
    ask = dice.randrange(4)
    more = (
        ["read", feed, "--profile", path, "--json", "--at", "0.5,0.5,12"],
        ["expose", feed, "--profile", path, "--json", "--iso", "800", "--nd", "0.6"],
        ["balance", feed, "--profile", path, "--json", "--at", "0.5,0.5,12"],
        ["chips", feed, "--profile", path, "--json", *("--at", "0.5,0.5,12") * 3],
    )[ask]
    return [["profiles", "check", path], more]
