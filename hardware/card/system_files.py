"""What a card's root gets beside the version: units, rules, links, and the first boot's own things.

Which file goes where is read from the lists of `systemd/install.sh`, which does the same on a board
that is already running.
"""

import re
from pathlib import Path

from hardware.card.boot_lines import Board
from hardware.card.errors import ChoiceError
from hardware.card.release import REPO

PROCESSORS = {
    Board.PI4: "cortex-a72",
    Board.CM4: "cortex-a72",
    Board.PI5: "cortex-a72",
    Board.ZERO2W: "cortex-a53",
}
"""What kernels of a card are compiled for: an A76, of the Pi 5, runs an A72's."""

HOME = Path("opt/midgrey")
UNITS = Path("etc/systemd/system")
WANTED = {
    "midgrey.service": "multi-user.target",
    "midgrey-first-boot.service": "multi-user.target",
    "midgrey-log.path": "multi-user.target",
    "var-lib-midgrey.mount": "midgrey.service",
}
"""Unit -> what starts it, as its [Install] says."""
OWN = {
    "card/midgrey-first-boot.service": (UNITS / "midgrey-first-boot.service", 0o644),
    "card/midgrey-log.service": (UNITS / "midgrey-log.service", 0o644),
    "card/midgrey-log.path": (UNITS / "midgrey-log.path", 0o644),
    "card/log-to-card": (HOME / "bin/log-to-card", 0o755),
    "card/read-only-root": (HOME / "bin/read-only-root", 0o755),
    "data.mount": (UNITS / "var-lib-midgrey.mount", 0o644),
}
"""Of systemd/, besides the installer's own lists."""
MASKED = (
    # A log-in at the console, and what asks for a first user there, would take the screen.
    "getty@tty1.service",
    "userconfig.service",
    "NetworkManager-wait-online.service",
    "systemd-networkd-wait-online.service",
    "apt-daily.timer",
    "apt-daily-upgrade.timer",
    "man-db.timer",
    "dpkg-db-backup.timer",
    "e2scrub_all.timer",
    "fstrim.timer",
)
"""What the installer masks for a unit, with --trim-boot."""
PINS_ON_BOOT = "/boot/firmware/midgrey/pins/pins.toml"

_LISTED = re.compile(r"^ +\"(\S+) +(/\S+) +(\d{3})\"$", re.MULTILINE)


def installed_files(script: str, name: str = "files") -> dict[str, tuple[Path, int]]:
    """A list of the installer: source in systemd/ -> where it goes in the root, and its mode.

    Parameters
    ----------
    script:
        `systemd/install.sh`.
    name:
        Of the list.
    """
    found = re.search(rf"^{name}=\(\n(.*?)^\)", script, re.MULTILINE | re.DOTALL)
    rows = _LISTED.findall(found[1]) if found else []
    if not rows:
        raise ChoiceError(f"systemd/install.sh has no list {name}=(...): fetch the project anew")
    return {source: (Path(target[1:]), int(mode, 8)) for source, target, mode in rows}


def environment(board: Board) -> str:
    """The service's settings of a card, beside those of its unit."""
    return (
        "# Kernels of this card are made for one processor, whichever board runs them.\n"
        "[Service]\n"
        f"Environment=NUMBA_CPU_NAME={PROCESSORS[board]} NUMBA_CPU_FEATURES=\n"
        "ExecStart=\n"
        "ExecStart=/opt/midgrey/current/bin/midgrey run $MIDGREY_FEED $MIDGREY_OPTIONS\n"
    )


def write(folder: Path, version: str, board: Board, repo: Path = REPO) -> None:
    """Lay all of it out in a folder as in the root; `releases/VERSION` is put there by others.

    Parameters
    ----------
    folder:
        What stands for the root.
    version:
        The name of the version that the card starts.
    board:
        Which board it is for.
    repo:
        The project's folder.
    """
    script = (repo / "systemd/install.sh").read_text("utf-8")
    for source, (target, mode) in {**installed_files(script), **OWN}.items():
        put(folder / target, (repo / "systemd" / source).read_bytes(), mode)
    put(folder / UNITS / "midgrey.service.d/60-card.conf", environment(board).encode())
    put(folder / "etc/midgrey/environment", _SETTINGS.encode())
    link(folder / "etc/midgrey/pins.toml", PINS_ON_BOOT)
    link(folder / HOME / "current", f"releases/{version}")
    put(folder / HOME / "layout", b"1\n")
    for unit, target_unit in WANTED.items():
        link(folder / UNITS / f"{target_unit}.wants" / unit, f"../{unit}")
    for unit in MASKED:
        link(folder / UNITS / unit, "/dev/null")


_SETTINGS = """# What the unit starts with, where no preset on the boot partition says otherwise.
#MIDGREY_FEED=v4l2:/dev/video0
#MIDGREY_OPTIONS=--profile log-v
"""


def put(path: Path, content: bytes, mode: int = 0o644) -> None:
    """A file with its folders."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
    path.chmod(mode)


def link(path: Path, target: str) -> None:
    """A link with its folders."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.symlink_to(target)
