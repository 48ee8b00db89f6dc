"""Pictures of a screen as PNG, read back by SDL's own reader and by the standard's checksums."""

import io
import zlib

import numpy as np
import pygame
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.screen.png import png_of


def surface_of(pixels):
    rows, columns, _ = pixels.shape
    return pygame.image.frombuffer(pixels.tobytes(), (columns, rows), "RGB")


@given(st.integers(1, 70), st.integers(1, 40), st.integers(0, 2**32 - 1))
def test_every_pixel_comes_back_as_it_stood(columns, rows, seed):
    pixels = np.random.default_rng(seed).integers(0, 256, (rows, columns, 3), np.uint8)
    read = pygame.image.load(io.BytesIO(png_of(surface_of(pixels))), "seen.png")
    assert np.array_equal(pygame.surfarray.array3d(read).swapaxes(0, 1), pixels)


@pytest.mark.parametrize("depth", [24, 32])
def test_a_surface_of_either_depth_is_taken_at_what_it_shows(depth):
    surface = pygame.Surface((33, 17), 0, depth)
    surface.fill((248, 124, 8), (3, 2, 20, 9))
    read = pygame.image.load(io.BytesIO(png_of(surface)), "seen.png")
    for at in ((0, 0), (3, 2), (22, 10), (32, 16)):
        assert read.get_at(at)[:3] == surface.get_at(at)[:3]


def test_the_file_is_made_of_whole_chunks_and_of_nothing_else():
    # Portable Network Graphics (PNG) Specification, W3C, third edition: 5.2, 5.3, 5.6
    content = png_of(surface_of(np.zeros((4, 6, 3), np.uint8)))
    assert content[:8] == b"\x89PNG\r\n\x1a\n"
    at, kinds = 8, []
    while at < len(content):
        length = int.from_bytes(content[at : at + 4], "big")
        body = content[at + 4 : at + 8 + length]
        assert zlib.crc32(body) == int.from_bytes(
            content[at + 8 + length : at + 12 + length], "big"
        )
        kinds.append(body[:4])
        at += 12 + length
    assert (kinds[0], kinds[-1], at) == (b"IHDR", b"IEND", len(content))
    assert b"IDAT" in kinds


def test_the_same_screen_makes_the_same_file():
    surface = surface_of(np.full((20, 30, 3), 77, np.uint8))
    assert png_of(surface) == png_of(surface)
