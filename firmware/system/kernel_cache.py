"""Compiled kernels on the card: whole after a power cut, in memory where none can be written.

numba keeps each kernel it compiles as an index (``.nbi``) and machine code (``.nbc``). It brings
neither to the card before it goes on, and it trusts what it reads: a file that a power cut left
empty ends every start from then on. So what was compiled is synced and entered in a ledger, and
what does not agree with the ledger is taken away before numba looks, which then compiles it again.
"""

import contextlib
import os
import re
import shutil
import tempfile
import zlib
from collections.abc import Callable, Iterator, Mapping, MutableMapping
from dataclasses import dataclass
from pathlib import Path

from firmware.errors import KernelCacheError
from firmware.system.files import save, settle

LEDGER = "kernels.sums"
"""Beside the kernels of a folder: what each of them was when it was brought to the card."""
_SUFFIXES = (".nbi", ".nbc")
_PICKLED = b"\x80"
"""First byte of what numba writes: the opcode PROTO (pickle protocol, PEP 307 and 3154)."""
_ENDED = b"."
"""Its last byte: the opcode STOP."""
_LINE = re.compile(r"([0-9]{1,20}) ([0-9]{1,20}) ([0-9]{1,20}) ([0-9]{1,20}) (.+)")
"""Of a ledger: checksum (CRC-32), bytes, time of change in ns, inode, name."""
_PACKAGES = ("overlays", "firmware")
COMPILED = "__pycache__"
"""Python's own folder beside the code, where numba keeps kernels too (PEP 3147)."""
_CODE = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class LedgerLine:
    """What a kernel's file was when it was brought to the card."""

    sum: int
    size: int
    time_ns: int
    inode: int


def kernel_folders(environ: Mapping[str, str], code: Path = _CODE) -> list[Path]:
    """Folders in which numba may keep kernels of ours, as far as they exist.

    Parameters
    ----------
    environ:
        The process's environment: NUMBA_CACHE_DIR, XDG_CACHE_HOME and HOME are looked at.
    code:
        Folder in which the packages lie.
    """
    wanted = environ.get("NUMBA_CACHE_DIR")
    if wanted:
        return _below(Path(wanted))
    sources, beside = _sources(code)
    # numba names a folder of the user's cache after the source's folder, then a digest.
    names = tuple(f"{folder.name}_" for folder in sources)
    return beside + [each for each in _below(_of_user(environ)) if each.name.startswith(names)]


def _sources(code: Path) -> tuple[list[Path], list[Path]]:
    """Folders of ours, and those beneath them that Python keeps what it compiled in.

    There are hundreds of files in each of the latter: they are not looked through at every start.
    """
    sources: list[Path] = []
    beside: list[Path] = []
    for package in _PACKAGES:
        for folder, below, _ in os.walk(code / package):
            sources.append(Path(folder))
            if COMPILED in below:
                below.remove(COMPILED)
                beside.append(Path(folder, COMPILED))
    return sources, beside


def places(environ: Mapping[str, str], code: Path = _CODE) -> list[Path]:
    """Where what is compiled may be kept: beside the code, else in the user's cache."""
    wanted = environ.get("NUMBA_CACHE_DIR")
    beside = code / "overlays" / "measure" / COMPILED
    return [Path(wanted)] if wanted else [beside, _of_user(environ)]


def writable_folder(environ: Mapping[str, str], code: Path = _CODE) -> Path | None:
    """Which of these numba will take."""
    return next((place for place in places(environ, code) if _writable(place)), None)


def drop_damaged(folders: list[Path]) -> list[Path]:
    """Take away kernels that a power cut or a bad card left empty, cut short or changed.

    A file that is not in the ledger was compiled by a process that did not come to enter it: of it
    is only asked that it begins and ends as numba's files do.

    Returns
    -------
    list of Path
        The files taken away.
    """
    damaged = [
        Path(file.path)
        for folder in folders
        for entries in [_read_ledger(folder)]
        for file in _kernels(folder)
        if not _is_whole(file, entries.get(file.name))
    ]
    for path in damaged:
        path.unlink(missing_ok=True)
    return damaged


def drop_all(folders: list[Path]) -> None:
    """Take every kernel away, with the ledgers that speak of them."""
    for folder in folders:
        for file in _kernels(folder):
            Path(file.path).unlink(missing_ok=True)
        (folder / LEDGER).unlink(missing_ok=True)


def bring_to_card(folders: list[Path]) -> int:
    """Sync kernels compiled since the last time and enter them in the ledger; how many there were.

    Raises
    ------
    OSError
        The ledger cannot be written.
    """
    fresh = 0
    for folder in folders:
        before = _read_ledger(folder)
        now = {
            file.name: before[file.name] if _agrees(file, before.get(file.name)) else _enter(file)
            for file in _kernels(folder)
        }
        added = sum(entry is not before.get(name) for name, entry in now.items())
        if added or now.keys() != before.keys():
            settle(folder)
            _write_ledger(folder, now)
        fresh += added
    return fresh


@contextlib.contextmanager
def kernels_kept(
    environ: MutableMapping[str, str],
    code: Path = _CODE,
    first: Callable[[Mapping[str, str]], object] = lambda _environ: None,
) -> Iterator[None]:
    """Whole kernels inside, kept whole afterwards; in memory where no folder can be written.

    `first` may take away more of them, once it is known where they are. `environ` is changed where
    numba has to be sent to another folder, so this comes before numba is imported.

    Raises
    ------
    KernelCacheError
        Not even memory can be written to.
    """
    with contextlib.ExitStack() as stack:
        if writable_folder(environ, code) is None:
            environ["NUMBA_CACHE_DIR"] = str(stack.enter_context(_in_memory(environ)))
        with contextlib.suppress(OSError):
            first(environ)
            drop_damaged(kernel_folders(environ, code))
        try:
            yield
        finally:
            with contextlib.suppress(OSError):
                bring_to_card(kernel_folders(environ, code))


@contextlib.contextmanager
def _in_memory(environ: Mapping[str, str]) -> Iterator[Path]:
    """A folder that goes with the process, with the kernels that can be read but not written."""
    try:
        place = environ.get("XDG_RUNTIME_DIR")
        root = place if place and _writable(Path(place)) else None
        folder = Path(tempfile.mkdtemp(prefix="midgrey-kernels-", dir=root))
    except OSError as fault:
        raise KernelCacheError(
            "no folder can be written to for compiled kernels: set NUMBA_CACHE_DIR to one, on a "
            "card that is not read-only or in memory"
        ) from fault
    try:
        for source in _below(Path(environ.get("NUMBA_CACHE_DIR") or folder / "none")):
            # What cannot be read is compiled again.
            with contextlib.suppress(OSError):
                shutil.copytree(source, folder / source.name)
        for file in _files(Path(environ.get("NUMBA_CACHE_DIR") or folder / "none")):
            with contextlib.suppress(OSError):
                shutil.copy(file, folder)
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _of_user(environ: Mapping[str, str]) -> Path:
    home = environ.get("XDG_CACHE_HOME") or f"{environ.get('HOME', '/')}/.cache"
    return Path(home) / "numba"


def _below(folder: Path) -> list[Path]:
    try:
        return sorted(each for each in folder.iterdir() if each.is_dir())
    except OSError:
        return []


def _files(folder: Path) -> list[Path]:
    try:
        return [each for each in folder.iterdir() if each.is_file()]
    except OSError:
        return []


def _writable(folder: Path) -> bool:
    """Whether a folder is, or could be made, and files be put in it."""
    there = next(each for each in (folder, *folder.parents) if each.exists())
    return there.is_dir() and os.access(there, os.W_OK | os.X_OK)


def _kernels(folder: Path) -> list[os.DirEntry[str]]:
    # Hundreds at every start: paths as objects would take longer than all the rest here.
    try:
        with os.scandir(folder) as there:
            return [file for file in there if file.name.endswith(_SUFFIXES)]
    except OSError:
        return []


def _is_whole(file: os.DirEntry[str], entry: LedgerLine | None) -> bool:
    if _agrees(file, entry):
        return True
    try:
        content = Path(file.path).read_bytes()
        if entry is not None and file.inode() == entry.inode:
            # numba writes a new file and renames it: the same one with another content is damage.
            return zlib.crc32(content) == entry.sum
    except OSError:
        return False
    return content.startswith(_PICKLED) and content.endswith(_ENDED)


def _agrees(file: os.DirEntry[str], entry: LedgerLine | None) -> bool:
    if entry is None:
        return False
    try:
        there = file.stat()
    except OSError:
        return False
    return (there.st_size, there.st_mtime_ns, there.st_ino) == (
        entry.size,
        entry.time_ns,
        entry.inode,
    )


def _enter(found: os.DirEntry[str]) -> LedgerLine:
    with Path(found.path).open("rb") as file:
        content = file.read()
        os.fsync(file.fileno())
        there = os.fstat(file.fileno())
    return LedgerLine(zlib.crc32(content), len(content), there.st_mtime_ns, there.st_ino)


def _read_ledger(folder: Path) -> dict[str, LedgerLine]:
    """What was entered; lines that cannot be read are as if they were not there."""
    try:
        lines = (folder / LEDGER).read_text("utf-8", "replace").splitlines()
    except OSError:
        return {}
    entries: dict[str, LedgerLine] = {}
    for line in lines:
        if found := _LINE.fullmatch(line):
            *numbers, name = found.groups()
            entries[name] = LedgerLine(*(int(number) for number in numbers))
    return entries


def _write_ledger(folder: Path, entries: dict[str, LedgerLine]) -> None:
    lines = [
        f"{entry.sum} {entry.size} {entry.time_ns} {entry.inode} {name}\n"
        for name, entry in sorted(entries.items())
    ]
    save(folder / LEDGER, "".join(lines).encode())
