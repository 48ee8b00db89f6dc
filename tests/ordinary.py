"""Ordinary scenes: of the bench by their options, and every picture of known truth by its file."""

import json

from tests.places import SCENES

BENCH = (
    "",
    "exposure=-3",
    "exposure=3",
    "exposure=-12",
    "exposure=7",
    "noise=0",
    "noise=3",
    "range=full",
    "range=stretched",
    "curve=S-Log3",
    "curve=V-Log,signal=yuv422-10",
    "curve=HLG,signal=nv12",
    "kelvin=3200",
    "signal=rgb",
    "size=320x180",
)
PROFILES = {"log-v": "log-v", "log-s3": "log-s3", "bt709": "standard"}


def pictures():
    """(feed, profile) of every picture in the folder: none is left out, whatever it is called."""
    if not SCENES.is_dir():
        return []
    clips = json.loads((SCENES / "truth.json").read_text())["clips"]
    curves = {file["file"]: clip["curve"] for clip in clips for file in clip["files"]}
    out = []
    for path in sorted([*SCENES.iterdir(), *(SCENES / "live").iterdir()]):
        if path.suffix in {".mov", ".mkv", ".mp4", ".uyvy"}:
            size = ":size=1280x720" if path.suffix == ".uyvy" else ""
            profile = PROFILES[curves[path.name]] if path.name in curves else None
            out.append((f"{path}{size}", profile))
    return out
