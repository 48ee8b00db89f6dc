"""Wheels for the board: the right one for each entry of the lock, checked, and unpacked.

A wheel is a zip archive with a name that says whom it fits (PyPA, Binary distribution format). It
is chosen and unpacked here and not by pip, which looks at the Python that it runs on: a laptop's
may be older than the board's.
"""

import hashlib
import re
import sys
import zipfile
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from hardware.card.errors import ToolFailedError, WheelError
from hardware.card.lock import Locked, normalised
from hardware.card.tools import Tools

PYTHON = (3, 13)
"""Of release trixie."""
GLIBC = (2, 41)
"""The same."""
MOST_FILES, MOST_BYTES = 20_000, 1 << 30
"""Of one wheel, unpacked; beyond that it is not what it says it is."""

_NAME = re.compile(
    r"(?P<name>[^-]+)-(?P<version>[^-]+)(-\d[^-]*)?-(?P<python>[^-]+)-(?P<abi>[^-]+)-(?P<platform>[^-]+)\.whl"
)
_MANYLINUX = re.compile(r"manylinux_(\d+)_(\d+)_aarch64")
_AGED = {"manylinux2014_aarch64": (2, 17)}
_SITE = ("purelib", "platlib")


@dataclass(frozen=True, slots=True)
class Wheel:
    """One that was chosen and is what was locked.

    Attributes
    ----------
    name, version:
        Of the distribution, as locked.
    path:
        The file.
    sha256:
        What it hashes to.
    licence:
        As it declares it itself.
    """

    name: str
    version: str
    path: Path
    sha256: str
    licence: str


def fits(file_name: str) -> bool:
    """Whether a wheel of this name runs on the board: AArch64, the release's Python and C library.

    Examples
    --------
    >>> fits("a-1-py3-none-any.whl"), fits("a-1-cp313-cp313-manylinux_2_17_x86_64.whl")
    (True, False)
    """
    found = _NAME.fullmatch(file_name)
    if found is None:
        return False
    pythons, abis, platforms = (found[part].split(".") for part in ("python", "abi", "platform"))
    runs = any(_runs(python, abi) for python in pythons for abi in abis)
    return runs and any(_is_ours(platform) for platform in platforms)


def _runs(python: str, abi: str) -> bool:
    whole, major = "cp{}{}".format(*PYTHON), f"py{PYTHON[0]}"
    if python in {whole, major} and abi in {whole, "none", "abi3"}:
        return True
    # A stable interface is there in all later Pythons (PEP 384).
    older = re.fullmatch(rf"cp{PYTHON[0]}(\d+)", python)
    return abi == "abi3" and older is not None and int(older[1]) <= PYTHON[1]


def _is_ours(platform: str) -> bool:
    found = _MANYLINUX.fullmatch(platform)
    needs = (int(found[1]), int(found[2])) if found else _AGED.get(platform)
    return platform == "any" or (needs is not None and needs <= GLIBC)


def choose(lock: Iterable[Locked], folder: Path) -> tuple[Wheel, ...]:
    """The wheel of each entry, from a folder.

    Raises
    ------
    WheelError
        One is missing, fits another machine only, or has another hash.
    """
    files = sorted(folder.glob("*.whl")) if folder.is_dir() else []
    return tuple(_chosen(entry, files, folder) for entry in lock)


def _chosen(entry: Locked, files: list[Path], folder: Path) -> Wheel:
    named = []
    for path in files:
        found = _NAME.fullmatch(path.name)
        if found and normalised(found["name"]) == entry.name and found["version"] == entry.version:
            named.append(path)
    fitting = [path for path in named if fits(path.name)]
    if not fitting:
        other = f" (only for other machines: {named[0].name})" if named else ""
        raise WheelError(
            f"{folder} holds no wheel of {entry.name} {entry.version} for the board{other}: fetch "
            "it with `hardware/card/build --fetch`, on a machine with a network"
        )
    sums = {path: _sum(path) for path in fitting}
    right = [path for path in fitting if sums[path] in entry.hashes]
    if not right:
        raise WheelError(
            f"{fitting[0]} is not the file that was locked (its SHA-256 is "
            f"{sums[fitting[0]][:16]}...): delete it and fetch it again"
        )
    path = right[0]
    return Wheel(entry.name, entry.version, path, sums[path], _licence(path))


def _sum(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _licence(path: Path) -> str:
    try:
        with zipfile.ZipFile(path) as archive:
            name = next(name for name in archive.namelist() if name.endswith(".dist-info/METADATA"))
            return licence_in(archive.read(name).decode("utf-8", "replace"))
    except (OSError, zipfile.BadZipFile, StopIteration) as fault:
        raise WheelError(
            f"{path} is no whole wheel ({fault}): delete it and fetch it again"
        ) from fault


def licence_in(metadata: str) -> str:
    """What a distribution declares: an expression, else a classifier, else its short words.

    Parameters
    ----------
    metadata:
        Its METADATA (PyPA, Core metadata).
    """
    head = metadata.partition("\n\n")[0]
    for pattern in (
        r"^License-Expression: (.+)$",
        r"^Classifier: License :: OSI Approved :: (.+)$",
        r"^License: (.{1,60})$",
    ):
        found = re.search(pattern, head, re.MULTILINE)
        if found:
            return found[1].strip()
    return "not declared"


def unpack(wheels: Iterable[Wheel], site: Path) -> None:
    """Put wheels into a folder of packages; commands that they would bring are left out.

    Raises
    ------
    WheelError
        An archive names a place outside of the folder, is too large, or is damaged.
    """
    for wheel in wheels:
        try:
            with zipfile.ZipFile(wheel.path) as archive:
                _unpack(archive, site, wheel.path)
        except (zipfile.BadZipFile, EOFError) as fault:
            raise WheelError(f"{wheel.path} is damaged ({fault}): fetch it again") from fault


def _unpack(archive: zipfile.ZipFile, site: Path, path: Path) -> None:
    infos = [each for each in archive.infolist() if not each.is_dir()]
    if len(infos) > MOST_FILES or sum(each.file_size for each in infos) > MOST_BYTES:
        raise WheelError(f"{path} is larger than any wheel should be: delete it and fetch it again")
    for info in infos:
        inside = PurePosixPath(info.filename)
        if inside.is_absolute() or ".." in inside.parts or "\\" in info.filename:
            raise WheelError(f"{path} names a place outside of itself ({inside}): do not use it")
        if inside.parts[0].endswith(".data"):
            if inside.parts[1] not in _SITE:
                continue
            inside = PurePosixPath(*inside.parts[2:])
        target = site / inside
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(archive.read(info))
        target.chmod(0o755 if info.external_attr >> 16 & 0o100 else 0o644)


_PLATFORMS = (
    "manylinux_2_28_aarch64",
    "manylinux_2_27_aarch64",
    "manylinux_2_17_aarch64",
    "manylinux2014_aarch64",
    "any",
)


def fetch(lock_file: Path, folder: Path, tools: Tools) -> None:
    """Download the wheels of a lock; the network is needed.

    Raises
    ------
    WheelError
        They cannot be had.
    """
    folder.mkdir(parents=True, exist_ok=True)
    python = "{}{}".format(*PYTHON)
    words = [sys.executable, "-m", "pip", "download", "-q", "--require-hashes", "--no-deps"]
    words += ["--only-binary=:all:", "--python-version", python, "--implementation", "cp"]
    words += ["--abi", f"cp{python}", "--abi", "abi3", "--abi", "none"]
    words += [word for platform in _PLATFORMS for word in ("--platform", platform)]
    try:
        tools.run(*words, "-r", str(lock_file), "-d", str(folder))
    except ToolFailedError as fault:
        raise WheelError(
            f"the wheels of {lock_file} cannot be fetched ({_last_line(fault.said)}): check the "
            "network, or name a folder that holds them with --wheels"
        ) from fault


def _last_line(text: str) -> str:
    return (text.strip().splitlines() or ["no reason given"])[-1][:200]
