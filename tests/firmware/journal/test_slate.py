import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import ArgumentError
from firmware.journal.slate import LONGEST, Slate, parse_slate, read_slate, slate_of


def test_a_line_says_scene_shot_take_camera_and_notes_to_its_end():
    found = parse_slate("scene=12, shot=A,take=3,camera=B,notes=rain, a bit")
    assert found == Slate("12", "A", "3", "B", "rain, a bit")
    assert found.words == "scene 12, shot A, take 3, camera B"
    assert found.setup == ("12", "A", "B")
    assert parse_slate("") == Slate()


@pytest.mark.parametrize("text", ["scena=12", "12", "scene=1,,", "=3"])
def test_what_is_no_slate_is_refused(text):
    with pytest.raises(ArgumentError, match="scene"):
        parse_slate(text)


@given(st.text(max_size=60))
def test_any_line_is_a_slate_or_a_sentence(text):
    try:
        found = parse_slate(text)
    except ArgumentError:
        return
    assert slate_of({"notes": found.notes}).notes == found.notes


def test_a_file_beside_the_journal_says_what_the_line_does_not(tmp_path):
    assert read_slate(tmp_path) == Slate()
    (tmp_path / "slate.toml").write_text('scene = "7"\ntake = 4\n')
    assert read_slate(tmp_path) == Slate("7", "", "4")
    assert Slate(take="5").over(read_slate(tmp_path)) == Slate("7", "", "5")


@pytest.mark.parametrize("text", ["scene = ", "take = true", 'other = "1"', "scene = [1]", "\xff"])
def test_a_file_that_is_no_slate_is_named(tmp_path, text):
    (tmp_path / "slate.toml").write_bytes(text.encode("latin-1"))
    with pytest.raises(ArgumentError, match=r"slate\.toml"):
        read_slate(tmp_path)


def test_a_row_may_hold_anything_in_its_slate():
    assert slate_of(None) == Slate()
    assert slate_of({"scene": 3, "other": 1}) == Slate("3")
    assert len(slate_of({"notes": "x" * 10_000}).notes) == LONGEST
