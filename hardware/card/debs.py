"""Debian packages that have to fit the board's own libraries: found, checked, and carried as files.

Mesa and pygame draw on the screen, and the camera's packages fit its libcamera: they come from the
archives that the image itself names, and are what its own list of packages lacks. apt works that
out on any Debian machine, without rights, from the image's list. Nothing is unpacked here: the
board installs them at its first boot, without a network.
"""

import re
import tempfile
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from hardware.card import sparse
from hardware.card.boot_lines import Input
from hardware.card.errors import PackageError, ToolFailedError
from hardware.card.tools import Tools

ARCHITECTURE = "arm64"
SCREEN = (
    "python3-pygame",
    "libgbm1",
    "libegl1",
    "libegl-mesa0",
    "libgles2",
    "libgl1-mesa-dri",
    "v4l-utils",
    "openssh-client",
    "fdisk",
)
"""What a picture on the screen needs (the first six), bridges (v4l-utils), signed updates
(ssh-keygen), and a data partition that grows (sfdisk)."""
CAMERA = ("python3-picamera2",)
"""Only in the archive of the board's makers."""

_BROKEN = re.compile(r"^E: (.+)$", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Package:
    """One package as a file.

    Attributes
    ----------
    name, version, architecture:
        As it says itself.
    path:
        The file.
    sha256:
        What it hashes to.
    """

    name: str
    version: str
    architecture: str
    path: Path
    sha256: str


def wanted(chosen: Input) -> tuple[str, ...]:
    """The packages that a card with this input is to have."""
    return SCREEN + (CAMERA if chosen is Input.CAMERA else ())


def read_folder(folder: Path, tools: Tools) -> tuple[Package, ...]:
    """The packages in a folder, by name.

    Raises
    ------
    PackageError
        There are none, one is damaged or for another machine, or there are two of a name.
    """
    files = sorted(folder.glob("*.deb")) if folder.is_dir() else []
    if not files:
        raise PackageError(
            f"{folder} holds no Debian packages: fetch them with `hardware/card/build --fetch` on "
            "a machine with a network"
        )
    found: dict[str, Package] = {}
    for path in files:
        package = _read(path, tools)
        if package.architecture not in (ARCHITECTURE, "all"):
            raise PackageError(
                f"{path} is for {package.architecture}, not for the board: delete it"
            )
        if package.name in found:
            raise PackageError(
                f"{folder} holds {package.name} twice ({found[package.name].path.name}, "
                f"{path.name}): delete the older one"
            )
        found[package.name] = package
    return tuple(found[name] for name in sorted(found))


def _read(path: Path, tools: Tools) -> Package:
    form = "${Package}\n${Version}\n${Architecture}\n"
    try:
        # The second goes through all of it, so that one that was cut short is found here.
        said, _ = tools.run("dpkg-deb", f"--showformat={form}", "--show", str(path))
        tools.run("dpkg-deb", "--contents", str(path))
    except ToolFailedError as fault:
        raise PackageError(f"{path} is damaged: delete it and fetch it again") from fault
    name, version, architecture = said.split("\n")[:3]
    return Package(name, version, architecture, path, sparse.sum_of(path))


@dataclass(frozen=True, slots=True)
class Sources:
    """What apt is to know of the board's system.

    Attributes
    ----------
    status:
        The image's list of packages (its /var/lib/dpkg/status).
    lists:
        Its files of sources, by name (of /etc/apt/sources.list and sources.list.d).
    keys:
        A folder with the keys that these name, laid out as the root; None for this machine's own.
    """

    status: str
    lists: dict[str, str]
    keys: Path | None = None


def with_keys_from(text: str, keys: Path | None) -> str:
    """Sources whose keys lie in a folder instead of the root; both of apt's forms are known."""
    if keys is None:
        return text
    text = re.sub(r"(?m)^(Signed-By:\s*)/", rf"\1{keys}/", text)
    return re.sub(r"(signed-by=)/", rf"\1{keys}/", text)


def _prepared(folder: Path, sources: Sources) -> list[str]:
    """Folders and files for an apt that knows nothing of this machine; its words."""
    for name in ("lists/partial", "archives/partial", "parts"):
        (folder / name).mkdir(parents=True, exist_ok=True)
    (folder / "status").write_text(sources.status)
    (folder / "none").write_text("")
    for name, text in sources.lists.items():
        (folder / "parts" / name).write_text(with_keys_from(text, sources.keys))
    settings = {
        "Dir::State::status": folder / "status",
        "Dir::State::lists": folder / "lists",
        "Dir::State::extended_states": folder / "extended",
        "Dir::Cache::archives": folder / "archives",
        "Dir::Cache::pkgcache": "",
        "Dir::Cache::srcpkgcache": "",
        "Dir::Etc::sourcelist": folder / "none",
        "Dir::Etc::sourceparts": folder / "parts",
        "Dir::Etc::preferences": folder / "none",
        "Dir::Etc::preferencesparts": folder / "lists/partial",
        "APT::Architecture": ARCHITECTURE,
        "APT::Architectures::": ARCHITECTURE,
        "APT::Install-Recommends": "false",
        "Acquire::Languages": "none",
        "APT::Sandbox::User": "",
        "Debug::NoLocking": "true",
    }
    words = ["apt-get", "-q", "-y"]
    return words + [word for key, value in settings.items() for word in ("-o", f"{key}={value}")]


def fetch(names: Iterable[str], sources: Sources, folder: Path, tools: Tools) -> None:
    """Download what the board's system lacks of some packages; the network is needed.

    Raises
    ------
    PackageError
        An archive is out of reach, or has no such package.
    """
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as made:
        place = Path(made)
        apt = _prepared(place, sources)
        try:
            tools.run(*apt, "update")
            tools.run(*apt, "--download-only", "--no-install-recommends", "install", *names)
        except ToolFailedError as fault:
            said = _BROKEN.search(fault.said)
            raise PackageError(
                f"Debian packages cannot be fetched ({said[1] if said else fault}): check the "
                "network, or name a folder that holds them with --debs"
            ) from fault
        for path in sorted((place / "archives").glob("*.deb")):
            # A colon, as in 1:2.0, is written as %3a there: not every disk takes it in a name.
            (folder / path.name).write_bytes(path.read_bytes())


def check_complete(
    names: Iterable[str], packages: Iterable[Package], status: str, tools: Tools
) -> None:
    """Make sure that the board can install these packages from the files alone.

    Raises
    ------
    PackageError
        Something that they need is neither on the image nor among them.
    """
    with tempfile.TemporaryDirectory() as made:
        apt = _prepared(Path(made), Sources(status, {}))
        files = [str(each.path.resolve()) for each in packages]
        try:
            tools.run(*apt, "--simulate", "--no-install-recommends", "install", *files, *names)
        except ToolFailedError as fault:
            lacking = re.findall(r"Depends: (\S+)[^\n]*but", fault.said)
            named = _BROKEN.search(fault.said)
            said = ", ".join(lacking) or (named[1] if named else str(fault)[-200:])
            raise PackageError(
                f"the Debian packages do not fit the image or are not all there ({said}): empty "
                "their folder, and fetch them for this image with --fetch"
            ) from fault
