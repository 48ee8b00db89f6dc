"""What a card's root gets beside the version: units, rules, links, and the first boot's own things.

Which file goes where is read from the lists of `systemd/install.sh`, which does the same on a board
that is already running.
"""

import re
from pathlib import Path

from firmware.update import places
from firmware.update.guard import PARTS
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

HOME = places.HOME.relative_to("/")
UNITS = Path("etc/systemd/system")
ENABLED = (
    "midgrey-first-boot.service",
    "midgrey-log.path",
    "var-lib-midgrey.mount",
)
"""Units that are started besides those of the installer."""
OWN = {
    "card/midgrey-first-boot.service": (UNITS / "midgrey-first-boot.service", 0o644),
    "card/midgrey-log.service": (UNITS / "midgrey-log.service", 0o644),
    "card/midgrey-log.path": (UNITS / "midgrey-log.path", 0o644),
    "card/tmpfiles.conf": (Path("usr/lib/tmpfiles.d/midgrey-card.conf"), 0o644),
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

_WANTED_BY = re.compile(r"^WantedBy=(\S+)$", re.MULTILINE)
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


def enabled_units(script: str) -> tuple[str, ...]:
    """The units that the installer switches on."""
    found = re.search(r"^enabled=\(\n(.*?)^\)", script, re.MULTILINE | re.DOTALL)
    if found is None:
        raise ChoiceError("systemd/install.sh has no list enabled=(...): fetch the project anew")
    return tuple(found[1].split())


def enable(folder: Path, unit: str) -> None:
    """Switch a unit on as `systemctl enable` does: as its [Install] says.

    Parameters
    ----------
    folder:
        What stands for the root, with the unit's file in it.
    unit:
        Its name; of one of several alike, with what tells it apart, as `name@part.service`.
    """
    file = re.sub(r"@[^.]+\.", "@.", unit)
    found = _WANTED_BY.search((folder / UNITS / file).read_text("utf-8"))
    if found is None:
        raise ChoiceError(f"{file} does not say what starts it: fetch the project anew")
    link(folder / UNITS / f"{found[1]}.wants" / unit, f"../{file}")


def environment(board: Board) -> str:
    """The service's settings of a card, beside those of its unit."""
    return (
        "# Kernels of this card are made for one processor, whichever board runs them.\n"
        "[Service]\n"
        f"Environment=NUMBA_CPU_NAME={PROCESSORS[board]} NUMBA_CPU_FEATURES=\n"
    )


def write(
    folder: Path, version: str, board: Board, signers: bytes | None = None, repo: Path = REPO
) -> None:
    """Lay all of it out in a folder as in the root; `releases/VERSION` is put there by others.

    Parameters
    ----------
    folder:
        What stands for the root.
    version:
        The name of the version that the card starts.
    board:
        Which board it is for.
    signers:
        The keys whose versions it takes, as a file of them; None for none.
    repo:
        The project's folder.
    """
    script = (repo / "systemd/install.sh").read_text("utf-8")
    for source, (target, mode) in {**installed_files(script), **OWN}.items():
        put(folder / target, (repo / "systemd" / source).read_bytes(), mode)
    put(folder / UNITS / "midgrey.service.d/60-card.conf", environment(board).encode())
    put(folder / UNITS / "var-lib-midgrey.mount.d/50-card.conf", _PATIENT.encode())
    put(folder / "etc/midgrey/environment", _SETTINGS.encode())
    if signers is not None:
        put(folder / places.SIGNERS.relative_to("/"), signers)
    link(folder / "etc/midgrey/pins.toml", PINS_ON_BOOT)
    link(folder / HOME / "current", f"releases/{version}")
    put(folder / HOME / "layout", f"{places.LAYOUT}\n".encode())
    for part in PARTS:
        put(folder / HOME / "guard" / part, (repo / part).read_bytes())
    for unit in (*enabled_units(script), *ENABLED):
        enable(folder, unit)
    for unit in MASKED:
        link(folder / UNITS / unit, "/dev/null")


_PATIENT = """\
# On a card the partition is always there: it is waited for longer than a forgotten stick.
[Unit]
JobTimeoutSec=90
"""
NOT_FATAL = (
    "nofail",
    "x-systemd.before=midgrey-first-boot.service",
    "x-systemd.before=midgrey.service",
)
"""For what is mounted besides the root (systemd.mount(5)): waited for as before, but a card whose
boot partition cannot be mounted still comes to a picture, not to a console to log in at."""


def with_fstab(text: str) -> str:
    """The image's table of file systems for a unit that always starts; twice is as once.

    Parameters
    ----------
    text:
        Its /etc/fstab (fstab(5)).
    """
    return "".join(f"{_not_fatal(line)}\n" for line in text.splitlines())


def _not_fatal(line: str) -> str:
    words = line.split()
    is_one = len(words) >= 4 and not words[0].startswith("#")
    if not is_one or words[1] == "/" or not words[1].startswith("/"):
        return line
    given = words[3].split(",")
    words[3] = ",".join([*given, *(each for each in NOT_FATAL if each not in given)])
    return "  ".join(words)


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
