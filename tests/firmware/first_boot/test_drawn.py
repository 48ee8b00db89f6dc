"""The pictures that ship are those that the words make."""

import numpy as np
import pytest

from firmware.first_boot import drawn
from firmware.first_boot.faces import PICTURES, StepFace
from firmware.first_boot.grey_picture import read_png


@pytest.mark.parametrize("face", StepFace)
def test_each_is_as_it_is_drawn(face):
    picture = read_png((PICTURES / f"{face.value[0]}.png").read_bytes())
    kept = np.frombuffer(b"".join(picture.lines), np.uint8).reshape(picture.rows, picture.columns)
    made = drawn.draw(face)
    assert kept.shape == made.shape
    # Another release of the library that draws type may differ at the edges of letters.
    assert np.abs(kept.astype(int) - made).mean() < 0.5
    # Nothing is cut off at the sides, and the place of the bar is free.
    assert (made[:, [0, -1]] == drawn.GROUND).all()
    assert (made[drawn.ROWS * 3 // 4 - 4 :] == drawn.GROUND).all()


def test_they_are_written_into_a_folder(tmp_path):
    drawn.main(tmp_path / "faces")
    there = sorted(path.stem for path in (tmp_path / "faces").iterdir())
    assert there == sorted(face.value[0] for face in StepFace)
