import io

import numpy as np
import pygame
import pytest

from firmware.errors import JournalError
from firmware.journal.small import chroma_counts, pack, small_of, still_of, trace_counts, unpack
from overlays.measure.counting.census import Wants, take_census
from tests.marked import SMALL, in_view


@pytest.fixture(scope="module")
def seen():
    return in_view(SMALL)


@pytest.fixture(scope="module")
def census(seen):
    return take_census(seen.frame, seen.yard, Wants.LEVELS | Wants.CHROMA)


def test_the_still_is_a_jpeg_of_the_picture_in_little(seen):
    blob = still_of(seen.frame, seen.yard)
    picture = pygame.surfarray.array3d(pygame.image.load(io.BytesIO(blob))).mean(axis=2).T
    assert blob[:3] == b"\xff\xd8\xff"
    assert len(blob) < 60_000
    assert picture.shape == (270, 480)
    # It is the same picture: luma of the feed and of the still rise together.
    rows = np.linspace(0, seen.frame.rows - 1, 270).astype(int)
    columns = np.linspace(0, seen.frame.columns - 1, 480).astype(int)
    luma = seen.frame.planes[0][rows][:, columns]
    assert np.corrcoef(luma.ravel(), picture.ravel())[0, 1] > 0.97


def test_the_counts_keep_where_there_is_something_and_where_it_is_most(census):
    found = trace_counts(census)
    assert found.max() == 255
    columns = np.linspace(0, census.levels.shape[0], found.shape[0] + 1).astype(int)[:-1]
    deep = census.levels.shape[1] // found.shape[1]
    whole = np.add.reduceat(census.levels.astype(int), columns, axis=0)
    whole = whole.reshape(found.shape[0], -1, deep).sum(axis=2)
    assert np.array_equal(found > 0, whole > 0)
    assert found.argmax() == whole.argmax()
    chroma = chroma_counts(census)
    assert chroma.shape == (128, 128)
    assert np.array_equal(chroma > 0, census.chroma.reshape(128, 2, 128, 2).sum(axis=(1, 3)) > 0)


def test_counts_come_back_as_they_were_packed(seen, census):
    counts = trace_counts(census)
    assert np.array_equal(unpack(pack(counts)), counts)
    small = small_of(seen.frame, seen.yard, census)
    assert np.array_equal(unpack(small.trace), counts)
    assert len(small.trace) < 40_000


@pytest.mark.parametrize("blob", [b"", b"\x01", bytes(40), b"\x02\0\x02\0abc", b"\xff" * 9])
def test_damaged_counts_are_refused(blob):
    with pytest.raises(JournalError, match="damaged"):
        unpack(blob)
