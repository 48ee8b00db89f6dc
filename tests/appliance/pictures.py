"""Pictures with known codes as raw frames, on a disk the guest can read.

From ``../shared/scenes`` (8-bit 4:2:2, decoded by PyAV to the codes in the file), and colour bars
computed here from the recommendations, in both ranges and two matrices.
"""

import shutil
from dataclasses import dataclass
from pathlib import Path

import av
import numpy as np
from image import REPO, call

SCENES = REPO.parent / "shared/scenes"
NAMES = ("s01-tree-8", "s02-chart24-8", "s03-wedge36-8", "s04-forest-8")
LAYOUTS = ("uyvy", "yuyv", "nv12")

# Kr, Kb: ITU-R BT.709-6 item 3.2, ITU-R BT.601-7 item 2.5.1.
WEIGHTS = {"709": (0.2126, 0.0722), "601": (0.299, 0.114)}
# 75 % bars, left to right: white, yellow, cyan, green, magenta, red, blue, black
# (SMPTE RP 219-1 orders its second to eighth bar so; EG 1 before it).
BARS = ((1, 1, 1), (1, 1, 0), (0, 1, 1), (0, 1, 0), (1, 0, 1), (1, 0, 0), (0, 0, 1), (0, 0, 0))


@dataclass(frozen=True)
class Picture:
    """One raw frame: three planes of codes, chroma at half width."""

    luma: np.ndarray
    cb: np.ndarray
    cr: np.ndarray

    @property
    def size(self) -> str:
        """COLUMNSxROWS."""
        return f"{self.luma.shape[1]}x{self.luma.shape[0]}"

    def mean(self, layout: str, x: int, y: int, width: int, height: int) -> list[float]:
        """Mean codes Y', Cb, Cr of a box around x, y that ends on whole chroma samples."""
        top, left = y - height // 2, x - width // 2
        rows, columns = slice(top, top + height), slice(left, left + width)
        halved = slice(left // 2, (left + width) // 2)
        every = 2 if layout == "nv12" else 1
        chroma = [plane[rows, halved][::every] for plane in (self.cb, self.cr)]
        return [float(plane.mean()) for plane in (self.luma[rows, columns], *chroma)]

    def packed(self, layout: str) -> bytes:
        """The bytes in a layout of the kernel's "Image Formats"; NV12 drops every second line."""
        if layout == "nv12":
            both = np.stack((self.cb[::2], self.cr[::2]), -1)
            return self.luma.tobytes() + both.tobytes()
        first, second = self.luma[:, 0::2], self.luma[:, 1::2]
        order = (
            (self.cb, first, self.cr, second)
            if layout == "uyvy"
            else (
                first,
                self.cb,
                second,
                self.cr,
            )
        )
        return np.stack(order, -1).tobytes()


def scene(name: str) -> Picture:
    """The first frame of a scene, in the codes of its file."""
    raw = SCENES / f"{name}.uyvy"
    if raw.exists():
        data = np.frombuffer(raw.read_bytes(), np.uint8).reshape(720, 640, 4)
        luma = data[..., 1::2].reshape(720, 1280)
        return Picture(luma, data[..., 0], data[..., 2])
    with av.open(str(SCENES / f"{name}.mkv")) as container:
        frame = next(container.decode(video=0))
        if frame.format.name != "yuv422p":
            raise SystemExit(f"{name}: {frame.format.name}, 8-bit 4:2:2 expected")
        planes = [
            np.frombuffer(plane, np.uint8).reshape(plane.height, plane.line_size)[:, : plane.width]
            for plane in frame.planes
        ]
        return Picture(*(plane.copy() for plane in planes))


def bar_codes(matrix: str, levels: str) -> np.ndarray:
    """Codes (8, 3) of 75 % bars, rounded: Y', Cb, Cr.

    ITU-R BT.2100-2 Table 9 for the two ranges; the matrix's equations for the rest.
    """
    kr, kb = WEIGHTS[matrix]
    rgb = 0.75 * np.array(BARS, float)
    luma = rgb @ np.array([kr, 1 - kr - kb, kb])
    cb = (rgb[:, 2] - luma) / (2 - 2 * kb)
    cr = (rgb[:, 0] - luma) / (2 - 2 * kr)
    if levels == "limited":
        codes = np.stack((16 + 219 * luma, 128 + 224 * cb, 128 + 224 * cr), -1)
    else:
        codes = np.stack((255 * luma, 128 + 255 * cb, 128 + 255 * cr), -1)
    return np.rint(codes).clip(0, 255).astype(np.uint8)


def bars(matrix: str, levels: str) -> Picture:
    """Eight bars across 1280x720."""
    columns = np.repeat(bar_codes(matrix, levels), 160, axis=0)
    luma = np.tile(columns[:, 0], (720, 1))
    return Picture(luma, np.tile(columns[::2, 1], (720, 1)), np.tile(columns[::2, 2], (720, 1)))


LIGHTS = {"cap": 0.0, "card": 0.18, "clip": 1.0, "white": 0.90, "dark": 0.18 / 16}
"""Linear light of what a feed check looks at; 1 is 100 % of BT.709."""


def checked_picture(what: str, levels: str) -> Picture:
    """A grey picture of a light by the formula of ITU-R BT.709-6 item 1.2, with noise of a code.

    Without noise rounding hides half a code; a camera has some.
    """
    light = LIGHTS[what]
    value = 4.5 * light if light < 0.018 else 1.099 * light**0.45 - 0.099
    code = 255.0 * value if levels == "full" else 16.0 + 219.0 * value
    noise = np.random.default_rng(7).normal(0.0, 0.0 if what == "clip" else 0.8, (720, 1280))
    luma = np.rint(code + noise).clip(1, 254).astype(np.uint8)
    grey = np.full((720, 640), 128, np.uint8)
    return Picture(luma, grey, grey)


def every_picture() -> dict[str, Picture]:
    """All of them by name."""
    found = {name: scene(name) for name in NAMES}
    for matrix in WEIGHTS:
        for levels in ("limited", "full"):
            found[f"bars-{matrix}-{levels}"] = bars(matrix, levels)
    return found


def picture_disk(folder: Path) -> Path:
    """A read-only ext4 disk with every picture in every layout: ``NAME.LAYOUT``."""
    inside = folder / "pictures"
    shutil.rmtree(inside, ignore_errors=True)
    inside.mkdir(parents=True)
    for name, picture in every_picture().items():
        for layout in LAYOUTS:
            (inside / f"{name}.{layout}").write_bytes(picture.packed(layout))
    for what in LIGHTS:
        for levels in ("limited", "full"):
            picture = checked_picture(what, levels)
            (inside / f"{what}-{levels}.uyvy").write_bytes(picture.packed("uyvy"))
    disk = folder / "pictures.raw"
    with disk.open("wb") as file:
        file.truncate(128 << 20)
    call("mke2fs", "-q", "-t", "ext4", "-d", str(inside), str(disk))
    shutil.rmtree(inside)
    return disk
