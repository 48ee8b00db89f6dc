"""The printed plate as triangles: read, checked for what printing needs, and made anew.

``python -m tests.hardware.plate`` runs OpenSCAD (Debian's package openscad) on hardware/plate.scad
and writes hardware/plate.stl.
"""

import re
import shutil
import subprocess
import tempfile
from collections import Counter
from pathlib import Path

import numpy as np

from tests.places import ROOT

SCAD, STL = ROOT / "hardware" / "plate.scad", ROOT / "hardware" / "plate.stl"
_HEAD = 80
_RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("unused", "<u2")])
"""Of a binary STL: 80 bytes, the count, then 50 bytes a triangle."""
_VERTEX = re.compile(rb"vertex\s+(\S+)\s+(\S+)\s+(\S+)")


def tool() -> str | None:
    """Where OpenSCAD is; None where it is not."""
    return shutil.which("openscad")


def read(path: Path) -> np.ndarray:
    """Triangles (n, 3 corners, 3) in millimetres, of an STL in text or binary."""
    content = path.read_bytes()
    if content.startswith(b"solid"):
        numbers = np.array([[float(each) for each in found] for found in _VERTEX.findall(content)])
        return numbers.reshape(-1, 3, 3)
    return np.frombuffer(content[_HEAD + 4 :], _RECORD)["corners"].astype(np.float64)


def made() -> np.ndarray:
    """The triangles that OpenSCAD makes of the drawing."""
    program = tool()
    assert program is not None
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "plate.stl"
        asked = [program, "-o", str(path), str(SCAD)]
        done = subprocess.run(asked, check=False, capture_output=True, text=True, timeout=200)
        assert done.returncode == 0, done.stderr
        return read(path)


def packed(triangles: np.ndarray) -> bytes:
    """A binary STL, the same for the same triangles in any order."""
    turned = [np.roll(each, -int(np.lexsort(each.T[::-1])[0]), axis=0) for each in triangles]
    order = np.lexsort(np.array(turned).reshape(-1, 9).T[::-1])
    records = np.zeros(len(triangles), _RECORD)
    records["corners"] = np.array(turned)[order]
    records["normal"] = normals(records["corners"].astype(np.float64))
    head = b"midgrey hardware/plate.scad, millimetres".ljust(_HEAD)
    return head + len(triangles).to_bytes(4, "little") + records.tobytes()


def normals(triangles: np.ndarray) -> np.ndarray:
    """Unit normals, outwards."""
    a, b, c = (triangles[:, corner] for corner in range(3))
    across = np.cross(b - a, c - a)
    long: np.ndarray = np.linalg.norm(across, axis=1, keepdims=True)
    return np.asarray(across / long)


def volume_mm3(triangles: np.ndarray) -> float:
    """What the surface encloses; below zero where it is inside out (divergence theorem)."""
    a, b, c = (triangles[:, corner] for corner in range(3))
    return float((a * np.cross(b, c)).sum() / 6.0)


def open_edges(triangles: np.ndarray) -> list[object]:
    """Edges that are not run through once in each direction: none where a solid is closed."""
    corners = [[tuple(corner) for corner in each] for each in np.round(triangles, 4)]
    runs = Counter((each[at], each[(at + 1) % 3]) for each in corners for at in range(3))
    return [edge for edge, count in runs.items() if count != 1 or runs[edge[::-1]] != 1]


def shells(triangles: np.ndarray) -> int:
    """How many pieces there are that do not touch."""
    parent: dict[tuple[float, ...], tuple[float, ...]] = {}

    def root(corner: tuple[float, ...]) -> tuple[float, ...]:
        while parent.setdefault(corner, corner) != corner:
            parent[corner] = parent[parent[corner]]
            corner = parent[corner]
        return corner

    for each in np.round(triangles, 4):
        first, *others = (tuple(corner) for corner in each)
        for other in others:
            parent[root(other)] = root(first)
    return len({root(corner) for corner in list(parent)})


def thinnest_mm(triangles: np.ndarray) -> float:
    """The least wall: from the middle of each triangle straight inwards to the next surface.

    Rays and triangles meet as Möller and Trumbore have it (1997).
    """
    outwards, starts = normals(triangles), triangles.mean(axis=1)
    least = np.inf
    for start, way in zip(starts, -outwards, strict=True):
        # A ray within the solid leaves it where a surface looks its way.
        a, b, c = triangles[outwards @ way > 1e-6].transpose(1, 0, 2)
        one, two, t0 = b - a, c - a, start - a
        p, q = np.cross(way, two), np.cross(t0, one)
        det = (one * p).sum(axis=1)
        u, v, far = (t0 * p).sum(axis=1) / det, (q @ way) / det, (two * q).sum(axis=1) / det
        hit = (u >= 0) & (v >= 0) & (u + v <= 1) & (far > 1e-4)
        least = min(least, float(far[hit].min(initial=np.inf)))
    return least


if __name__ == "__main__":
    STL.write_bytes(packed(made()))
