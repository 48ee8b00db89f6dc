import io

import numpy as np
import pygame
import pytest

from firmware.journal.grey_png import grey_png


@pytest.mark.parametrize("shape", [(1, 1), (3, 5), (128, 240)])
def test_another_reader_finds_every_shade(shape):
    shades = np.random.default_rng(1).integers(0, 256, shape).astype(np.uint8)
    picture = pygame.surfarray.array3d(pygame.image.load(io.BytesIO(grey_png(shades))))
    for channel in range(3):
        assert np.array_equal(picture[:, :, channel].T, shades)
