import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.health.kernel_files import inside, text_of, whole_number


def test_a_file_is_read_up_to_a_limit(tmp_path):
    (tmp_path / "a").write_text("x" * 100)
    assert text_of(tmp_path / "a") == "x" * 100
    assert text_of(tmp_path / "a", 10) == "x" * 10


def test_what_cannot_be_read_is_not_known(tmp_path):
    assert text_of(tmp_path / "missing") is None
    assert text_of(tmp_path) is None, "a folder"
    assert text_of(Path("a\0b")) is None


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_what_this_user_may_not_read_is_not_known(tmp_path):
    (tmp_path / "a").write_text("1")
    (tmp_path / "a").chmod(0)
    assert text_of(tmp_path / "a") is None


def test_a_pipe_without_a_writer_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    assert text_of(tmp_path / "pipe") == ""


@given(st.binary(max_size=64))
def test_any_bytes_are_text_of_some_kind(tmp_path_factory, content):
    path = tmp_path_factory.mktemp("f") / "a"
    path.write_bytes(content)
    assert isinstance(text_of(path), str)


@given(st.integers(-999_999_999, 999_999_999), st.sampled_from(["", "\n", " \n", "\t"]))
def test_a_number_is_read_whatever_space_is_around_it(number, space):
    assert whole_number(f"{space}{number}{space}") == number


@given(st.text(max_size=20))
def test_anything_else_is_no_number(text):
    read = whole_number(text)
    assert read is None or str(read) == text.strip().lstrip("0") or int(text) == read
    assert whole_number(text + "x") is None
    assert whole_number(None) is None


@pytest.mark.parametrize("text", ["", " ", "1 2", "1.5", "0x10", "1_000", "٣", "9" * 40, "nan"])
def test_these_are_no_numbers(text):
    assert whole_number(text) is None


def test_a_path_under_another_root(tmp_path):
    assert inside(tmp_path, Path("/sys/class")) == tmp_path / "sys/class"
    assert inside(Path("/"), Path("/sys/class")) == Path("/sys/class")
