"""Writes the screens and answers anew: `python -m tests.golden.keep [NAME...]`.

Whole screens would weigh ten megabytes: kept are their hash, which is exact, and their means over
squares of eight pixels, by which a screen can be compared where another release of the libraries
draws type a little differently. `--pictures FOLDER` writes the screens themselves, to be looked at.
"""

import json
import os
import sys
import time
from pathlib import Path

import numpy as np
import pygame

from tests.golden.cases import ANSWERS, COMMANDS, MOMENTS, SCREENS
from tests.golden.playing import answer, digest, libraries, means, play


def main(words: list[str]) -> None:
    """All of them, or those of some names."""
    os.environ["TZ"] = "UTC"
    time.tzset()
    folder = Path(words[words.index("--pictures") + 1]) if "--pictures" in words else None
    names = [] if folder else words
    kept = json.loads((SCREENS / "hashes.json").read_text()) if names else {}
    small = dict(np.load(SCREENS / "means.npz")) if names else {}
    for moment in MOMENTS:
        if names and moment.name not in names:
            continue
        pixels = play(moment)
        if folder:
            surface = pygame.surfarray.make_surface(pixels.transpose(1, 0, 2))
            pygame.image.save(surface, folder / f"{moment.name}.png")
            continue
        kept[moment.name], small[moment.name] = digest(pixels), means(pixels)
    if folder:
        return
    SCREENS.mkdir(exist_ok=True)
    ANSWERS.mkdir(exist_ok=True)
    kept["libraries"] = libraries()
    (SCREENS / "hashes.json").write_text(json.dumps(kept, indent=1, sort_keys=True) + "\n")
    np.savez_compressed(SCREENS / "means.npz", **small)
    for name, command in COMMANDS.items():
        if not names or name in names:
            (ANSWERS / f"{name}.json").write_text(answer(command))


if __name__ == "__main__":
    main(sys.argv[1:])
