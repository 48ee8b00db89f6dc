"""Kernels of the loops over a frame, made beforehand for the board's processor by emulating it.

Compiling them takes the board minutes, once, beside the picture; a card that brings them spares it
that. They are made by the very Python, libraries and code of the card, in a folder that stands for
its root, with one program emulated: no rights of root, but an hour or so. So they are kept by what
they are made of, and serve every card until that changes, whatever else of a version does.
"""

import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Iterable
from pathlib import Path

from firmware.system.kernel_cache import LEDGER
from firmware.system.warmth import LIBRARIES
from firmware.update import places
from hardware.card import ext4, release
from hardware.card.debs import Package
from hardware.card.errors import ChoiceError, ToolFailedError
from hardware.card.tools import Tools, need
from hardware.card.wheels import Wheel

EMULATOR = "qemu-aarch64-static"
PLACE = places.KERNELS.relative_to("/")
"""NUMBA_CACHE_DIR of systemd/midgrey.service; each version has a folder in it."""
NOTE = "made-for.json"
"""In a folder of kernels: what they were made for."""
WARM = "firmware.live.warm"
SOURCES = (
    "overlays",
    "firmware/feeds",
    "firmware/v4l2",
    "firmware/live/kinds.py",
    "firmware/live/preload.py",
    "firmware/live/warm.py",
)
"""Of the project, what kernels are compiled from, and what says which kinds of them there are."""


def made_of(wheels: Iterable[Wheel], repo: Path = release.REPO) -> str:
    """What kernels depend on, as one number: their sources, and the libraries that compile them."""
    total = hashlib.sha256(f"{release.number(repo)} {release.PYTHON}\n".encode())
    for name in SOURCES:
        place = repo / name
        found = place.rglob("*.py") if place.is_dir() else [place]
        for path in sorted(found):
            total.update(f"{path.relative_to(repo).as_posix()}\0".encode() + path.read_bytes())
    for wheel in wheels:
        if wheel.name in LIBRARIES:
            total.update(f"{wheel.name} {wheel.version} {wheel.sha256}\n".encode())
    return total.hexdigest()[:16]


def note(made_of: str, processor: str) -> str:
    """What kernels have to agree with; numba itself looks into their sources besides."""
    return json.dumps({"made_of": made_of, "processor": processor}) + "\n"


def is_there(folder: Path, expected: str) -> bool:
    """Whether a folder holds kernels that are as the note says."""
    try:
        return (folder / NOTE).read_text("utf-8", "replace") == expected
    except OSError:
        return False


def folder_of(source: Path) -> str:
    """What numba calls the folder for the kernels of one folder of sources, by where that lies."""
    # numba 0.68, core/caching.py: the name, and a digest that keeps those of one name apart.
    digest = hashlib.sha1(str(source).encode(), usedforsecurity=False).hexdigest()
    return f"{source.name}_{digest}"


def site_of(version: str) -> Path:
    """Where a version's packages lie on the board."""
    return places.HOME / "releases" / version / release.SITE


def keep(made: Path, version: str, folder: Path, repo: Path = release.REPO) -> int:
    """Keep kernels by the folders of their sources, whatever the version is called; how many.

    Parameters
    ----------
    made:
        As numba left them.
    version:
        That they were made in.
    folder:
        Where to keep them.
    repo:
        The project's folder.
    """
    found = 0
    for source in _source_folders(repo):
        place = made / folder_of(site_of(version) / source)
        if place.is_dir():
            shutil.copytree(place, folder / source, ignore=shutil.ignore_patterns(LEDGER))
            found += len(list(place.glob("*.nbi")))
    for path in made.iterdir():
        if path.is_file():
            shutil.copyfile(path, folder / path.name)
    return found


def _source_folders(repo: Path) -> list[Path]:
    found = [path for name in release.OURS for path in [repo / name, *(repo / name).rglob("*")]]
    return sorted(path.relative_to(repo) for path in found if path.is_dir())


def lay(folder: Path, tree: Path, version: str, expected: str, repo: Path = release.REPO) -> None:
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
    repo:
        The project's folder.

    Raises
    ------
    ChoiceError
        They were made for something else.
    """
    try:
        said = (folder / NOTE).read_text("utf-8", "replace")
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
    target.mkdir(parents=True)
    for source in _source_folders(repo):
        files = [each for each in (folder / source).glob("*.nb?") if each.is_file()]
        place = target / folder_of(site_of(version) / source)
        for path in files:
            place.mkdir(exist_ok=True)
            shutil.copyfile(path, place / path.name)
    for path in folder.iterdir():
        if path.is_file() and path.name != NOTE:
            shutil.copyfile(path, target / path.name)
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
    """Make them; where numba left them, below a new folder beside the tree.

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
    return place / PLACE / version


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
