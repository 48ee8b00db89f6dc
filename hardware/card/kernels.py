"""Kernels of the loops over a frame, made beforehand for the board's processor by emulating it.

Compiling them takes the board minutes, once, beside the picture; a card that brings them spares it
that. They are made by the very Python, libraries and code of the card, in a folder that stands for
its root, with one program emulated: no rights of root, but ten minutes on a quiet machine, an hour
on a busy one. So they are kept, each with what it is made of (`loop_sources`), and serve every card
until that changes, whatever else of a version does; when they are made again, those that still hold
are not.
"""

import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from pathlib import Path

from firmware.system.kernel_cache import LEDGER
from firmware.system.warmth import LIBRARIES, STAMP
from firmware.update import places
from hardware.card import ext4, loop_sources, release
from hardware.card.debs import Package
from hardware.card.errors import ToolFailedError
from hardware.card.tools import Tools, need
from hardware.card.wheels import Wheel

EMULATOR = "qemu-aarch64-static"
PLACE = places.KERNELS.relative_to("/")
"""NUMBA_CACHE_DIR of systemd/midgrey.service; each version has a folder in it."""
NOTE = "made-for.json"
"""In a folder of kernels: what they were made for."""
WARM = "firmware.live.warm"


@dataclass(frozen=True)
class MadeFor:
    """What kernels have to agree with.

    Attributes
    ----------
    processor:
        As LLVM calls it.
    libraries:
        One number for Python and the libraries that compile them.
    loops:
        Each module that they are compiled from -> a digest of all that it is of.
    callers:
        A digest of what says which kinds of them there are. Where it is another one some kernels
        may be missing; those that are there hold.
    """

    processor: str
    libraries: str
    loops: dict[str, str]
    callers: str

    def still_hold(self, kept: "MadeFor") -> set[str]:
        """The modules of which kept kernels are as they would be made now."""
        if (kept.processor, kept.libraries) != (self.processor, self.libraries):
            return set()
        return {name for name, digest in self.loops.items() if kept.loops.get(name) == digest}


def made_for(wheels: Iterable[Wheel], processor: str, repo: Path = release.REPO) -> MadeFor:
    """What kernels of this very code have to agree with."""
    total = hashlib.sha256(f"{release.PYTHON}\n".encode())
    for wheel in wheels:
        if wheel.name in LIBRARIES:
            total.update(f"{wheel.name} {wheel.version} {wheel.sha256}\n".encode())
    libraries = total.hexdigest()[:16]
    return MadeFor(processor, libraries, loop_sources.loops(repo), loop_sources.callers(repo))


def note_in(folder: Path) -> MadeFor | None:
    """What a folder's kernels were made for; None where it holds none, or does not say it."""
    try:
        said = json.loads((folder / NOTE).read_text("utf-8", "replace"))
        loops = {str(name): str(digest) for name, digest in said["loops"].items()}
        words = (str(said[name]) for name in ("processor", "libraries", "callers"))
        processor, libraries, callers = words
    except (OSError, ValueError, TypeError, LookupError, AttributeError, RecursionError):
        return None
    return MadeFor(processor, libraries, loops, callers)


def write_note(folder: Path, made: MadeFor) -> None:
    """Say beside kernels what they were made for."""
    (folder / NOTE).write_text(json.dumps(asdict(made), indent=1) + "\n")


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


def lay(folder: Path, tree: Path, version: str, wanted: MadeFor, repo: Path = release.REPO) -> bool:
    """Put kernels that were made before into what becomes the root; whether all of them are there.

    What they were compiled from may have changed: those that no longer hold are left out. Where any
    is missing the board looks through them beside its first picture and makes it.

    Parameters
    ----------
    folder:
        With the kernels and their note.
    tree:
        What becomes the root.
    version:
        Of midgrey.
    wanted:
        What the note has to say.
    repo:
        The project's folder.
    """
    kept = note_in(folder)
    if kept is None:
        return False
    target = tree / PLACE / version
    _lay_loops(folder, target, version, wanted.still_hold(kept))
    made_with = _made_with(folder) if kept == wanted else None
    if made_with is not None:
        # The number is the version's that they are laid for: nothing was compiled from it.
        told = {**made_with, "midgrey": release.number(repo)}
        (target / STAMP).write_text(json.dumps(told, indent=1) + "\n")
    for path in (target, *target.rglob("*")):
        path.chmod(0o755 if path.is_dir() else 0o644)
    return made_with is not None


def _made_with(folder: Path) -> dict[str, object] | None:
    """What the unit's own word says that all of them are there; None where there is none."""
    try:
        found = json.loads((folder / STAMP).read_text("utf-8", "replace"))
    except (OSError, ValueError, RecursionError):
        return None
    return found if isinstance(found, dict) else None


def _lay_loops(folder: Path, target: Path, version: str, modules: set[str]) -> None:
    """Kernels of these modules, where numba looks for those of a version."""
    target.mkdir(parents=True, exist_ok=True)
    for name in sorted(modules):
        source = Path(name)
        place = target / folder_of(site_of(version) / source.parent)
        # numba calls a kernel by its module, its function and its line.
        for path in sorted((folder / source.parent).glob(f"{source.stem}.*.nb?")):
            place.mkdir(exist_ok=True)
            shutil.copyfile(path, place / path.name)


def stand_in(root: Path, tree: Path, packages: tuple[Package, ...], tools: Tools) -> Path:
    """A new folder beside the tree that stands for the card's root, to be emulated in.

    Parameters
    ----------
    root:
        The card's root file system, before anything was written to it.
    tree:
        What will be written to it.
    packages:
        What the first boot will install.

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
    return place


def lend(kept: Path, place: Path, version: str, wanted: MadeFor) -> None:
    """Give what stands for the root those that still hold: they are not made again there."""
    before = note_in(kept)
    if before is not None:
        _lay_loops(kept, place / PLACE / version, version, wanted.still_hold(before))


def make(place: Path, version: str, processor: str, tools: Tools) -> Path:
    """Make those that are not there yet, in what stands for the root; where numba left them.

    Parameters
    ----------
    place:
        What `stand_in` made.
    version:
        Of midgrey.
    processor:
        As LLVM and the emulator call it.

    Raises
    ------
    ToolFailedError
    """
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
