import errno
import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from firmware.system.files import read_small, save, unsaved


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=5000), st.binary(max_size=5000))
def test_what_is_saved_is_read_and_replaces_what_was_there(tmp_path, first, second):
    path = tmp_path / "a.bin"
    for content in (first, second):
        save(path, content)
        assert path.read_bytes() == content
        assert [each.name for each in tmp_path.iterdir()] == ["a.bin"]


def full(_descriptor):
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_a_card_that_turns_full_on_the_way_keeps_the_older_file_and_no_half_of_the_new(
    tmp_path, monkeypatch
):
    save(tmp_path / "a.bin", b"old")
    monkeypatch.setattr("firmware.system.files.os.fsync", full)
    with pytest.raises(OSError, match="No space left"):
        save(tmp_path / "a.bin", b"new" * 1000)
    assert (tmp_path / "a.bin").read_bytes() == b"old"
    with pytest.raises(OSError, match="No space left"):
        save(tmp_path / "b.bin", b"new")
    assert [each.name for each in tmp_path.iterdir()] == ["a.bin"]


def test_what_is_no_file_is_written_to_as_it_is(tmp_path):
    save(Path("/dev/null"), b"anything")
    assert not Path("/dev/null").is_file()
    with pytest.raises(OSError, match="No space left"):
        save(Path("/dev/full"), b"anything")
    with pytest.raises(IsADirectoryError):
        save(tmp_path, b"anything")


def test_a_link_still_points_where_it_did(tmp_path):
    (tmp_path / "there").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "there" / "a.bin")
    save(tmp_path / "link", b"x")
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "there" / "a.bin").read_bytes() == b"x"


@pytest.mark.parametrize(
    ("number", "part"),
    [
        (errno.ENOSPC, "no space left on device); delete old files"),
        (errno.EROFS, "read-only file system); the card is read-only: restart"),
        (errno.EACCES, "permission denied); name a folder"),
        (errno.EIO, "input/output error); check the folder"),
    ],
)
def test_a_fault_says_where_why_and_what_to_do(number, part):
    said = unsaved(Path("/a/b.png"), "picture", OSError(number, os.strerror(number)))
    assert said.startswith("/a/b.png: the picture cannot be written (")
    assert part in said
    assert "\n" not in said


def test_a_small_file_is_read_and_nothing_else(tmp_path):
    path = tmp_path / "small"
    path.write_bytes(b"x" * 10)
    assert read_small(path, 10) == b"x" * 10
    with pytest.raises(OSError, match="larger than 9 bytes"):
        read_small(path, 9)
    for other in (tmp_path, Path("/dev/zero")):
        with pytest.raises(OSError, match="no plain file"):
            read_small(other, 10)
    with pytest.raises(FileNotFoundError):
        read_small(tmp_path / "none", 10)
