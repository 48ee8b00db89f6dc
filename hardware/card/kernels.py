"""Kernels of the loops over a frame, made beforehand for the board's processor by emulating it.

Compiling them takes the board minutes, once, beside the picture; a card that brings them spares it
that. They are made by the very Python, libraries and code of the card, in a folder that stands for
its root, with one program emulated: no rights of root, but some minutes to an hour.
"""

import json
import os
import shutil
import tempfile
from pathlib import Path

from firmware.system.kernel_cache import LEDGER
from firmware.update import places
from hardware.card import ext4
from hardware.card.debs import Package
from hardware.card.errors import ChoiceError, ToolFailedError
from hardware.card.tools import Tools, need

EMULATOR = "qemu-aarch64-static"
PLACE = places.KERNELS.relative_to("/")
"""NUMBA_CACHE_DIR of systemd/midgrey.service; each version has a folder in it."""
NOTE = "made-for.json"
"""In a folder of kernels: what they were made for."""
WARM = "firmware.live.warm"


def note(version: str, processor: str, epoch: int) -> str:
    """What kernels have to agree with: numba looks at the times of sources, and at their places."""
    return json.dumps({"version": version, "processor": processor, "epoch": epoch}) + "\n"


def lay(folder: Path, tree: Path, version: str, expected: str) -> None:
    """Put kernels that were made before into what becomes the root.

    Parameters
    ----------
    folder:
        With the kernels and their note.
    tree:
        What becomes the root.
    version:
        Of midgrey.
    expected:
        What the note has to say.

    Raises
    ------
    ChoiceError
        They were made for something else.
    """
    try:
        said = (folder / NOTE).read_text()
    except OSError as fault:
        raise ChoiceError(
            f"{folder} holds no kernels (no {NOTE}): make them with --make-kernels"
        ) from fault
    if said != expected:
        raise ChoiceError(
            f"the kernels in {folder} were made for {said.strip()}, and this card is "
            f"{expected.strip()}: make them anew with --make-kernels"
        )
    target = tree / PLACE / version
    # A ledger knows files by their place on the disk, which is another one there.
    shutil.copytree(folder, target, ignore=shutil.ignore_patterns(NOTE, LEDGER))
    for path in target.rglob("*"):
        path.chmod(0o755 if path.is_dir() else 0o644)


def make(
    root: Path,
    tree: Path,
    version: str,
    packages: tuple[Package, ...],
    processor: str,
    tools: Tools,
) -> Path:
    """Make them; the folder they are in then, below a new one that is the caller's to remove.

    Parameters
    ----------
    root:
        The card's root file system, before anything was written to it.
    tree:
        What will be written to it.
    version:
        Of midgrey.
    packages:
        What the first boot will install.
    processor:
        As LLVM and the emulator call it.

    Raises
    ------
    ToolMissingError, ToolFailedError
    """
    need((EMULATOR, "unshare", "dpkg-deb", "debugfs"))
    place = Path(tempfile.mkdtemp(dir=tree.parent, prefix="emulated-"))
    for part in ("/usr", "/etc"):
        ext4.take(root, part, place, tools)
    for name in ("lib", "bin", "sbin"):
        (place / name).symlink_to(f"usr/{name}")
    for package in packages:
        tools.run("dpkg-deb", "--extract", str(package.path), str(place))
    shutil.copytree(tree / "opt", place / "opt", symlinks=True)
    for path in (place / "opt").rglob("*"):
        os.utime(path, (tools.epoch, tools.epoch), follow_symlinks=False)
    for name in ("proc", "dev", "tmp", str(PLACE)):
        (place / name).mkdir(parents=True, exist_ok=True)
    shutil.copyfile(_emulator(tools), place / EMULATOR)
    (place / EMULATOR).chmod(0o755)
    _warm(place, version, processor, tools)
    made = place / PLACE / version
    (made / NOTE).write_text(note(version, processor, tools.epoch))
    return made


def _emulator(tools: Tools) -> str:
    found = shutil.which(EMULATOR, path=tools.environment()["PATH"])
    if found is None:
        raise ToolFailedError(f"{EMULATOR} is gone")
    return found


def _warm(place: Path, version: str, processor: str, tools: Tools) -> None:
    python = f"/opt/midgrey/releases/{version}/venv/bin/python"
    environ = [
        *("PATH=/usr/bin:/bin", "HOME=/tmp", "LC_ALL=C.UTF-8", "PYTHONDONTWRITEBYTECODE=1"),
        *(f"NUMBA_CPU_NAME={processor}", "NUMBA_CPU_FEATURES="),
        *(f"NUMBA_CACHE_DIR=/{PLACE}/{version}", "PYGAME_HIDE_SUPPORT_PROMPT=1"),
        *("SDL_VIDEODRIVER=dummy", "SDL_AUDIODRIVER=dummy"),
    ]
    inside = f"/{EMULATOR} -cpu {processor} {python} -m {WARM}"
    script = (
        'mount --rbind /proc "$0/proc" && mount --rbind /dev "$0/dev" && '
        f'exec chroot "$0" /{EMULATOR} /usr/bin/env -i {" ".join(environ)} {inside}'
    )
    tools.run("unshare", "--map-root-user", "--mount", "sh", "-ec", script, str(place))
