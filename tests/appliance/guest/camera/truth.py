"""Makes the virtual camera's pictures: columns of flat codes, which JPEG of quality 100 keeps.

    python3 truth.py FOLDER

Blocks of whole 16 pixels have no detail to lose, and the pipeline hands codes on as they are.
"""

import sys
from pathlib import Path

import numpy as np
from codes import BLUE, LUMA, RED
from PIL import Image

ROWS, COLUMNS = 720, 1280


def columns(codes):
    """Five columns of one code each."""
    return Image.fromarray(np.repeat(np.array(codes, np.uint8), COLUMNS // 5)[None].repeat(ROWS, 0))


folder = Path(sys.argv[1])
folder.mkdir(parents=True, exist_ok=True)
for number, order in enumerate((1, -1)):
    planes = [columns(codes[::order]) for codes in (LUMA, BLUE, RED)]
    picture = Image.merge("YCbCr", planes)
    picture.save(folder / f"{number}.jpg", quality=100, subsampling=2)
