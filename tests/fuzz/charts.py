"""Texts of charts, whole and broken, and what a chart is read and compared by."""

import random
from collections.abc import Sequence
from pathlib import Path

from overlays.measure.chart.reference import BUILT_IN
from overlays.measure.colour.cielab import xyz_to_lab
from overlays.signal.gamuts import D65
from tests.fuzz.cases import kept

BENCH = "bench:size=640x360,cloud=0,signal=yuv444-10"
_WORDS = (
    *("nan", "inf", "-inf", "1e400", "1e308", "-1e308", "0", "-0", "9" * 5000, "1_000", "\u00b2"),
    *("\u0663", "1e-320", "abc", "", '"', "#", "100.0000000000000000001", "-100", "0x10", "1,5"),
)


def _xyy(xyz):
    total = float(xyz.sum()) or 1.0
    return xyz[0] / total, xyz[1] / total, 100.0 * xyz[1]


_KINDS = (
    ("XYZ_X XYZ_Y XYZ_Z", lambda xyz: 100.0 * xyz),
    ("XYY_X XYY_Y XYY_CAPY", _xyy),
    ("LAB_L LAB_A LAB_B", lambda xyz: xyz_to_lab(xyz, D65)),
)


def _place(number: int) -> str:
    """Columns are letters, rows numbers."""
    return f"{'ABCDEF'[number % 6]}{number // 6 + 1}"


def chart(dice: random.Random) -> str:
    """The text of the usual chart, with as many mistakes as the dice want."""
    reference = dice.choice(BUILT_IN)
    fields, of = dice.choice(_KINDS)
    wild = dice.choice((0.0, 0.003, 0.01, 0.05))

    def word(number: object) -> str:
        return dice.choice(_WORDS) if dice.random() < wild else str(number)

    rows = [
        f"{word(_place(n))} " + " ".join(word(f"{x:.4f}") for x in of(xyz))
        for n, xyz in enumerate(reference.xyz)
    ]
    if dice.random() < wild * 10:
        rows = rows * dice.choice((2, 40)) if dice.random() < 0.5 else rows[: dice.randrange(24)]
    scale = dice.random() < wild * 5
    sets = word("9" * 5000 if scale else len(rows))
    lines = [
        *("CGATS.17", f"ILLUMINANT {word('D65')}", "NUMBER_OF_FIELDS 4"),
        *("BEGIN_DATA_FORMAT", f"SAMPLE_ID {word(fields)}", "END_DATA_FORMAT"),
        *(f"NUMBER_OF_SETS {sets}", "BEGIN_DATA", *rows, "END_DATA"),
    ]
    if dice.random() < wild * 5:
        del lines[dice.randrange(len(lines))]
    if dice.random() < wild * 5:
        dice.shuffle(lines)
    return "\n".join(lines)


def case(dice: random.Random, folder: Path) -> Sequence[Sequence[str]]:
    """A chart that is read, and compared with another light or look."""
    path = kept(folder, "chart.txt", chart(dice).encode("utf-8", errors="replace"))
    words = ["chart", BENCH, "--reference", path, "--json"]
    if dice.random() < 0.4:
        exposure = dice.choice((-6, -1, 1, 3, 9))
        words += ["--against", f"{BENCH},exposure={exposure},kelvin={dice.choice((2500, 5600))}"]
    if dice.random() < 0.3:
        words += ["--layout", dice.choice(("6x4", "4x6", "2x12", "99x99", "1x24", "6"))]
    if dice.random() < 0.3:
        words += ["--scale", dice.choice(("exposure", "neutrals", "x"))]
    if dice.random() < 0.3:
        words += ["--corners", _corners(dice)]
    return [words]


def _corners(dice: random.Random) -> str:
    if dice.random() < 0.3:
        return ",".join(dice.choice(("0.2", "1e9", "nan", "-5", "999999", "0.8")) for _ in range(8))
    return ",".join(f"{dice.uniform(0.0, 1.0):.3f}" for _ in range(8))
