"""Large files: copied whole, unpacked, and never left half written."""

import io
import lzma

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardware.card import sparse
from hardware.card.errors import ImageError


@given(st.lists(st.sampled_from([b"\0" * 700, b"x" * 300, b"\0\1" * 50]), max_size=12))
def test_a_copy_is_the_same(pieces):
    data = b"".join(pieces)
    target = io.BytesIO()
    copied = sparse.copy(io.BytesIO(data), target, len(data) + 5)
    target.truncate(len(data)) if len(target.getvalue()) > len(data) else None
    assert copied == len(data)
    assert target.getvalue().ljust(len(data), b"\0") == data


BLOCK = 1 << 16
"""Bytes: as large as the blocks of any file system that tests are run on, or a number of them."""


@given(
    kept=st.lists(st.booleans(), min_size=1, max_size=6),
    start=st.integers(0, 2 * BLOCK),
    length=st.integers(0, 8 * BLOCK),
)
def test_a_copy_of_a_file_with_holes_is_the_same(tmp_path_factory, kept, start, length):
    folder = tmp_path_factory.mktemp("holes")
    with (folder / "source").open("w+b") as source, (folder / "target").open("w+b") as target:
        for place, is_kept in enumerate(kept):
            source.seek(place * BLOCK)
            source.write(b"some" if is_kept else b"")
        source.truncate(len(kept) * BLOCK)
        source.seek(start)
        data = source.read(length)
        source.seek(start)
        target.seek(7)
        assert sparse.copy(source, target, length) == len(data)
        assert source.tell() == start + len(data)
        assert target.tell() == 7 + len(data)
        target.truncate(7 + len(data))
        target.seek(7)
        assert target.read() == data


class Counted(io.FileIO):
    """A file that counts how much of it is asked for."""

    asked = 0

    def read(self, size=-1):
        self.asked += size
        return super().read(size)


def test_nothing_is_read_of_what_has_no_place_on_the_disk(tmp_path):
    """A card's image is some gigabytes of nothing."""
    (tmp_path / "source").write_bytes(b"head")
    with Counted(tmp_path / "source", "r+") as source, (tmp_path / "target").open("wb") as target:
        source.truncate(1 << 30)
        assert sparse.copy(source, target, (1 << 30) - 1) == (1 << 30) - 1
        assert source.asked <= sparse.CHUNK


def test_a_part_is_taken_out_and_laid_back(tmp_path):
    whole = tmp_path / "whole"
    whole.write_bytes(b"a" * 100 + bytes(3 << 20) + b"z" * 100)
    sparse.take_out(whole, 50, (3 << 20) + 100, tmp_path / "part")
    part = (tmp_path / "part").read_bytes()
    assert part == b"a" * 50 + bytes(3 << 20) + b"z" * 50
    with (tmp_path / "image").open("wb") as image:
        sparse.lay(tmp_path / "part", image, 7)
    assert (tmp_path / "image").read_bytes() == bytes(7) + part
    with pytest.raises(ImageError, match="cut short"):
        sparse.take_out(whole, 50, 4 << 20, tmp_path / "part")


def test_a_packed_image_is_unpacked_for_a_while(tmp_path):
    data = b"head" + bytes(2 << 20) + b"tail" + bytes(100)
    path = tmp_path / "a.img.xz"
    path.write_bytes(lzma.compress(data))
    with sparse.unpacked(path, tmp_path) as plain:
        assert plain.read_bytes() == data
    assert list(tmp_path.iterdir()) == [path]


def test_a_damaged_or_missing_one_is_said(tmp_path):
    path = tmp_path / "a.img.xz"
    path.write_bytes(lzma.compress(bytes(1000))[:-8])
    with pytest.raises(ImageError, match="download it"), sparse.unpacked(path, tmp_path):
        pass
    with pytest.raises(ImageError, match="no image"), sparse.unpacked(tmp_path / "b", tmp_path):
        pass


def full():
    raise OSError(28, "full")


def test_what_is_cut_off_leaves_the_old_one(tmp_path):
    path = tmp_path / "card.img"
    path.write_bytes(b"old")
    with pytest.raises(OSError, match="full"), sparse.whole_or_nothing(path) as file:
        file.write(b"half") and full()
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]
    with sparse.whole_or_nothing(path) as file:
        file.write(b"new")
    assert path.read_bytes() == b"new"
