"""Writes the gallery: `python -m tests.golden.gallery`.

Some of the kept screens as small JPEGs with a line each in `hardware/gallery`. Whether they are
still what is drawn is seen from the kept means of the same screens (`test_gallery.py`).
"""

import io
from pathlib import Path

import av
import numpy as np
import numpy.typing as npt

from tests.golden.cases import MOMENTS
from tests.golden.playing import play

FOLDER = Path(__file__).parents[2] / "hardware/gallery"
QUALITY = 4
"""Of the JPEG's quantiser (libavcodec, `qscale`): type stays clean, some 60 kB each."""
SHOWN = {
    "picture-log": "**picture**: the frame alone, its reading, the key to its stripes. Log, in the "
    "view transform that stands at the upper right.",
    "expose-standard": "**expose**: the level trace over the picture's lower edge, column for "
    "column, what to do about the exposure, extremes, shares at the clip, the key to the stripes.",
    "expose-upright": "The same on a screen that is mounted upright.",
    "balance-dialled": "**balance**: what to dial for the light on the card, with its doubt.",
    "chips-log": "**chips**: white, grey and black in one look, and what moved them.",
    "chart-standard": "**chart**: wanted beside found, their ΔE, and where each colour went.",
    "match-taken": "**match**: camera B against what was kept of camera A.",
    "watch-marked": "**watch**: each pin since its reference, and what happened to it.",
    "target-over": "**target**: verdict and number from two metres, for a borrower.",
    "picture-stop-map": "**stop map**: the picture by stops from mid-grey, its key above it.",
    "expose-stalled": "What hangs is named, and nothing old is left to be read.",
    "expose-small": "The same at 480x320.",
}
"""Names of kept screens, each with what is to be seen on it."""


def jpeg(pixels: npt.NDArray[np.uint8]) -> bytes:
    """A picture, (rows, columns, 3), as a file."""
    out = io.BytesIO()
    with av.open(out, "w", format="mjpeg") as file:
        stream = file.add_stream("mjpeg", rate=1, options={"qscale": str(QUALITY)})
        stream.height, stream.width = pixels.shape[:2]
        stream.pix_fmt = "yuvj444p"
        shown = av.VideoFrame.from_ndarray(np.ascontiguousarray(pixels), format="rgb24")
        for packet in (*stream.encode(shown), *stream.encode()):
            file.mux(packet)
    return out.getvalue()


def page() -> str:
    """Its text."""
    lines = [
        "# What the screens look like",
        "",
        "The built-in bench scene, a bookbinder's workshop, without noise. Written by",
        "`python -m tests.golden.gallery` from the screens that CI compares.",
    ]
    for name, said in SHOWN.items():
        lines += ["", f"![{name}]({name}.jpg)", "", said]
    return "\n".join(lines) + "\n"


def main() -> None:
    """Write all of it."""
    FOLDER.mkdir(exist_ok=True)
    for moment in MOMENTS:
        if moment.name in SHOWN:
            (FOLDER / f"{moment.name}.jpg").write_bytes(jpeg(play(moment)))
    (FOLDER / "README.md").write_text(page(), encoding="utf-8")


if __name__ == "__main__":
    main()
