"""The drawn scene beside the compiled kernels, since drawing it is a third of a start's work.

It is the same every time; a file that does not agree with its own sum, or was drawn by other code,
is not looked at, and the scene is drawn as ever.
"""

import hashlib
import platform
import zlib
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

import numpy as np
import numpy.typing as npt

from firmware.feeds.bench.workshop import workshop
from firmware.system.files import save
from firmware.system.kernel_cache import writable_folder

Codes = npt.NDArray[np.uint16]

KEPT_PIXELS = 1280 * 720, 1920 * 1080
"""Smaller pictures are drawn as quickly as a file is read; larger ones are no screen's."""

MOST_KEPT = 2
"""Files of 12 MB at most; the one that was written first goes."""

_CODE = Path(__file__).parent
_DRAWN_BY = (
    "canvas.py",
    "chart_colours.py",
    "room.py",
    "sensor.py",
    "workshop.py",
    "workshop_desk.py",
)
_SUM_BYTES = 4


def scene_folder(environ: Mapping[str, str]) -> Path | None:
    """Where drawn scenes are kept: with the kernels; None where nothing can be written."""
    return writable_folder(environ)


def kept_workshop(rows: int, columns: int, folder: Path | None) -> Codes:
    """The scene as light codes, off its file or drawn and kept for the next time.

    Parameters
    ----------
    rows, columns:
        Of the picture.
    folder:
        Where scenes are kept; without one it is drawn.

    Returns
    -------
    ndarray
        (rows, columns, 3) uint16, as `workshop` draws it.
    """
    if folder is None or not KEPT_PIXELS[0] <= rows * columns <= KEPT_PIXELS[1]:
        return workshop(rows, columns)
    path = folder / f"bench-{columns}x{rows}-{_drawn_by()}.scene"
    found = _read(path, rows * columns * 3)
    if found is not None:
        return found.reshape(rows, columns, 3)
    drawn = workshop(rows, columns)
    with suppress(OSError):  # it is drawn again the next time
        folder.mkdir(parents=True, exist_ok=True)
        content = drawn.tobytes()
        save(path, content + zlib.crc32(content).to_bytes(_SUM_BYTES, "little"))
        _let_go(folder, path)
    return drawn


def _drawn_by() -> str:
    """What a scene depends on, in a few letters: our code, numpy's release, the machine."""
    digest = hashlib.sha256(f"{np.__version__} {platform.machine()}".encode())
    for name in _DRAWN_BY:
        with suppress(OSError):  # an installation may hold compiled code alone
            digest.update((_CODE / name).read_bytes())
    return digest.hexdigest()[:16]


def _read(path: Path, count: int) -> Codes | None:
    try:
        if path.stat().st_size != 2 * count + _SUM_BYTES:
            return None
        with path.open("rb") as file:
            # An array that may be written, as a drawn one: numba compiles for either apart.
            codes: Codes = np.fromfile(file, np.uint16, count)
            told = file.read(_SUM_BYTES)
    except OSError:
        return None
    return codes if zlib.crc32(codes.data).to_bytes(_SUM_BYTES, "little") == told else None


def _let_go(folder: Path, newest: Path) -> None:
    """Take away what other code drew, and the oldest beyond `MOST_KEPT`."""
    others = [each for each in folder.glob("bench-*.scene") if each != newest]
    ours = [each for each in others if each.stem.endswith(newest.stem[-16:])]
    ours.sort(key=lambda each: each.stat().st_mtime_ns)
    for path in [each for each in others if each not in ours] + ours[: -(MOST_KEPT - 1)]:
        with suppress(OSError):
            path.unlink()
