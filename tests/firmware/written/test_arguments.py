import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import ArgumentError
from firmware.written.arguments import output_file, parse_size


@pytest.mark.parametrize("text", ["1280x720", "1280X720", " 1280 × 720 "])
def test_sizes_as_they_are_written(text):
    assert parse_size(text) == (1280, 720)


@given(st.integers(320, 7680), st.integers(240, 4320))
def test_every_screen_size_comes_back(columns, rows):
    assert parse_size(f"{columns}x{rows}") == (columns, rows)


@pytest.mark.parametrize("text", ["", "1280", "1280x", "x720", "1280*720", "-1x5", "1e3x720"])
def test_no_size(text):
    with pytest.raises(ArgumentError, match="as 1280x720"):
        parse_size(text)


@pytest.mark.parametrize("text", ["1x1", "0x0", "99999x720", "319x240", "320x239"])
def test_sizes_no_screen_has(text):
    with pytest.raises(ArgumentError, match="no size of a screen"):
        parse_size(text)


def test_output_files(tmp_path):
    assert output_file(tmp_path / "s.PNG", ".png") == tmp_path / "s.PNG"
    with pytest.raises(ArgumentError, match="written as png"):
        output_file(tmp_path / "s.jpg", ".png")
    with pytest.raises(ArgumentError, match="no folder"):
        output_file(tmp_path / "none" / "s.png", ".png")
    (tmp_path / "d.png").mkdir()
    with pytest.raises(ArgumentError, match="is a folder"):
        output_file(tmp_path / "d.png", ".png")
