"""The list of everything on a card."""

from pathlib import Path

from hardware.card import manifest
from hardware.card.debs import Package
from hardware.card.wheels import Wheel


def test_each_row_has_package_version_licence_and_hash():
    wheel = Wheel("numpy", "2.5", Path("x"), "a" * 64, "BSD-3-Clause")
    package = Package("libgbm1", "25", "arm64", Path("y"), "b" * 64)
    text = manifest.text("0.8.0-1", "c" * 64, [wheel], [package])
    rows = [line.split("\t") for line in text.splitlines() if not line.startswith("#")]
    assert rows == [
        ["midgrey", "midgrey", "0.8.0-1", "Apache-2.0", "-"],
        ["wheel", "numpy", "2.5", "BSD-3-Clause", "a" * 64],
        ["debian", "libgbm1", "25", "/usr/share/doc/libgbm1/copyright", "b" * 64],
    ]
    assert "c" * 64 in text
