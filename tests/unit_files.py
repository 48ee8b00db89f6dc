"""Unit files of systemd, read for a test."""

from tests.places import ROOT

SYSTEMD = ROOT / "systemd"


class Unit(dict[str, list[str]]):
    """The settings of a unit file: a key may stand more than once (systemd.syntax(7))."""

    def __init__(self, name: str) -> None:
        super().__init__()
        for line in (SYSTEMD / name).read_text().splitlines():
            if "=" in line and not line.startswith("#"):
                key, _, value = line.partition("=")
                self.setdefault(key, []).append(value)
