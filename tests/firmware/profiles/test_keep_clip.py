"""The clip that was found goes into a profile of the user's own, and changes nothing else."""

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import ProfileError
from firmware.profiles.keep_clip import keep_clip, with_clip
from firmware.profiles.model import curve_alone
from firmware.profiles.reader import read_profile
from firmware.profiles.shelf import load_profile
from overlays.measure.counting.clip import FlatTop
from overlays.signal.published import published_curve

TOP = FlatTop((71.26, None, 68.04), 0.1)
KIT = """# my camera
curve = "S-Log3"  # as it is set
target = "0 st"

[camera]
iso = {now = "800"}
"""


@pytest.fixture
def kit(tmp_path):
    path = tmp_path / "kit.toml"
    path.write_text(KIT)
    return path


def test_the_lowest_ceiling_is_written_and_the_rest_stays(kit):
    said = keep_clip(read_profile(kit), TOP)
    assert "68.0 %" in said
    assert "R, B" in said
    assert "kit.toml" in said
    text = kit.read_text()
    assert "# my camera" in text
    assert "# as it is set" in text
    assert tomllib.loads(text) == {**tomllib.loads(KIT), "clip": "68.0 %"}
    assert read_profile(kit).clip.number == 68.0


def test_a_clip_that_stands_there_is_replaced(kit):
    kit.write_text(KIT.replace("target", 'clip = "90 %"\ntarget'))
    keep_clip(read_profile(kit), TOP)
    assert kit.read_text().count("clip") == 1
    assert read_profile(kit).clip.number == 68.0


def test_a_file_that_somebody_spoilt_meanwhile_is_told_of(kit):
    profile = read_profile(kit)
    kit.write_text(f'no_such_key = "1"\n{KIT}')
    with pytest.raises(ProfileError, match="no_such_key"):
        keep_clip(profile, TOP)


def test_one_that_ships_is_never_written():
    profile = load_profile("log-s3")
    before = Path(profile.source_path).read_text()
    with pytest.raises(ProfileError, match="ships with midgrey"):
        keep_clip(profile, TOP)
    assert Path(profile.source_path).read_text() == before


def test_without_a_file_or_a_clip_there_is_nothing_to_write(kit):
    with pytest.raises(ProfileError, match="no file"):
        keep_clip(curve_alone(published_curve("V-Log")), TOP)
    with pytest.raises(ProfileError, match="lamp"):
        keep_clip(read_profile(kit), None)
    assert kit.read_text() == KIT


def test_a_text_in_which_more_would_change_is_left_alone():
    text = 'curve = "S-Log3"\nnotes = """\nclip = "1 %"\n"""\n'
    with pytest.raises(ProfileError, match="write clip"):
        with_clip(text, "70.0 %", Path("kit.toml"))


@given(
    comments=st.lists(
        st.text(st.characters(codec="ascii", categories=["L", "N", "Zs"])), max_size=3
    ),
    has_clip=st.booleans(),
    tables=st.lists(st.sampled_from(["camera", "chips", "watch"]), unique=True),
)
def test_whatever_stands_in_the_file_only_the_clip_changes(comments, has_clip, tables):
    lines = [f"# {words}" for words in comments]
    lines += ['curve = "V-Log"', *(['clip = "5 st"'] if has_clip else [])]
    lines += [f"[{name}]\nx = 1" for name in tables]
    text = "\n".join(lines)
    made = with_clip(text, "70.0 %", Path("kit.toml"))
    assert tomllib.loads(made) == {**tomllib.loads(text), "clip": "70.0 %"}
    assert [line for line in made.splitlines() if line.startswith("#")] == lines[: len(comments)]


def test_a_clip_over_several_lines_is_left_alone():
    # The line alone would be replaced, and what is left of it be no TOML.
    text = 'curve = "S-Log3"\nclip = """\n80 %"""\n'
    with pytest.raises(ProfileError, match="cannot be written by itself"):
        with_clip(text, "68.0 %", Path("kit.toml"))
