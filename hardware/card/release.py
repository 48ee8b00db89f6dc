"""One whole version of midgrey for the board, in the order that `firmware.update.places` keeps.

Everything is there that pip would bring: the version needs nothing of the system but Python itself,
pygame and the camera's packages. It is made on any machine; nothing of the board's is run.
"""

import hashlib
import shutil
import tomllib
from collections.abc import Iterable
from pathlib import Path

from firmware.update import places
from hardware.card import wheels as wheel_files
from hardware.card.errors import ChoiceError
from hardware.card.wheels import Wheel

REPO = Path(__file__).resolve().parents[2]
MACHINE = "aarch64"
PYTHON = "{}.{}".format(*wheel_files.PYTHON)
SITE = Path(f"venv/lib/python{PYTHON}/site-packages")
OURS = ("firmware", "overlays")
_LEFT_OUT = shutil.ignore_patterns("__pycache__", "*.pyc")
# Whatever README and the handbook lead to, so that none of their links is dead on a unit.
_PAGES = ("README.md", "DEVELOPERS.md", "systemd/README.md")
_SHARED = ("hardware", "firmware/handbook", "firmware/kit/topics.json", *_PAGES, "LICENSE")
_COUNTED = (*OURS, "hardware", "pyproject.toml", "systemd/launcher", *_PAGES)


def number(repo: Path = REPO) -> str:
    """The number of the version, of pyproject.toml."""
    text = (repo / "pyproject.toml").read_text("utf-8")
    return str(tomllib.loads(text)["project"]["version"])


def name_of(wheels: Iterable[Wheel], repo: Path = REPO) -> str:
    """The version's name: its number, and eight letters by which what is in it is told apart."""
    total = hashlib.sha256()
    for path in _sources(repo):
        total.update(f"{path.relative_to(repo).as_posix()}\0".encode() + path.read_bytes())
    for wheel in wheels:
        total.update(f"{wheel.name} {wheel.version} {wheel.sha256}\n".encode())
    total.update(f"{MACHINE} {PYTHON}".encode())
    return f"{number(repo)}-{total.hexdigest()[:8]}"


def _sources(repo: Path) -> list[Path]:
    found: list[Path] = []
    for name in _COUNTED:
        path = repo / name
        if not path.exists():
            raise ChoiceError(
                f"{path} is missing: a card is made from the project's own folder, whole"
            )
        found += path.rglob("*") if path.is_dir() else [path]
    kept = [each for each in found if each.is_file() and "__pycache__" not in each.parts]
    return sorted(kept)


def make(folder: Path, version: str, wheels: tuple[Wheel, ...], repo: Path = REPO) -> None:
    """Make the version in a folder that is not there yet.

    Parameters
    ----------
    folder:
        What becomes `releases/VERSION`.
    version:
        Its name (`name_of`).
    wheels:
        All that it needs, chosen and checked.
    repo:
        The project's folder.
    """
    site = folder / SITE
    site.mkdir(parents=True)
    wheel_files.unpack(wheels, site)
    for package in OURS:
        shutil.copytree(repo / package, site / package, ignore=_LEFT_OUT)
    _describe(site, repo)
    (folder / "bin").mkdir()
    for name in ("midgrey", "python"):
        shutil.copyfile(repo / "systemd/launcher", folder / "bin" / name)
        (folder / "bin" / name).chmod(0o755)
    (folder / "venv/bin").mkdir()
    for link in places.PYTHON_LINKS:
        (folder / link).symlink_to(places.SYSTEM_PYTHON)
    (folder / "venv/pyvenv.cfg").write_text(
        f"home = /usr/bin\ninclude-system-site-packages = true\nversion = {PYTHON}\n"
    )
    (folder / places.RELEASE_FILE).write_text(
        "# What this version is; firmware/update/manifest.py reads it.\n"
        f'version = "{version}"\nmachine = "{MACHINE}"\npython = "{PYTHON}"\n'
        f"layout = {places.LAYOUT}\n"
    )
    _share(folder / "share", repo)


def _describe(site: Path, repo: Path) -> None:
    """What Python's own importlib.metadata asks of midgrey (PyPA, Core metadata)."""
    project = tomllib.loads((repo / "pyproject.toml").read_text("utf-8"))["project"]
    folder = site / f"midgrey-{project['version']}.dist-info"
    folder.mkdir()
    lines = ["Metadata-Version: 2.4", "Name: midgrey", f"Version: {project['version']}"]
    lines += [f"Summary: {project['description']}", f"License-Expression: {project['license']}"]
    lines += [f"Requires-Dist: {each}" for each in project["dependencies"]]
    (folder / "METADATA").write_text("\n".join(lines) + "\n")
    (folder / "INSTALLER").write_text("hardware/card\n")
    (folder / "entry_points.txt").write_text(
        f"[console_scripts]\nmidgrey = {project['scripts']['midgrey']}\n"
    )


def _share(folder: Path, repo: Path) -> None:
    folder.mkdir()
    for name in _SHARED:
        path = repo / name
        if path.is_dir():
            shutil.copytree(path, folder / name, ignore=_LEFT_OUT)
        elif path.exists():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(path, folder / name)
