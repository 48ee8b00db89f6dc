import os

import pytest

from firmware.errors import ProfileError
from firmware.profiles.cube_file import MOST_BYTES, read_cube
from firmware.profiles.reader import profile_of_text, read_profile
from overlays.draw.layout.monitor import ViewTransform
from overlays.errors import CubeError

CUBE = "LUT_1D_SIZE 2\n0 0 0\n1 1 1\n"
PROFILE = 'curve = "V-Log"\n\n[screen]\nview = "cube"\ncube = "workshop.cube"\n'


@pytest.fixture
def profile(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text(PROFILE)
    return path


def test_a_table_is_read_from_beside_the_profile(profile):
    (profile.parent / "workshop.cube").write_bytes(b'\xef\xbb\xbfTITLE "f\xfcr"\n' + CUBE.encode())
    monitor = read_profile(profile).monitor
    assert monitor.transform is ViewTransform.CUBE
    assert monitor.own.name == "workshop.cube"


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (None, "workshop.cube cannot be read: no such file"),
        ("LUT_1D_SIZE 2\n0 0\n", "workshop.cube: line 2: an entry is three numbers, not '0 0'"),
    ],
)
def test_what_is_wrong_with_it_is_said_at_the_line_that_names_it(profile, content, words):
    if content is not None:
        (profile.parent / "workshop.cube").write_text(content)
    with pytest.raises(ProfileError) as fault:
        read_profile(profile)
    assert str(fault.value).startswith(f"{profile}:5: screen.cube: ")
    assert words in str(fault.value)


def test_a_profile_in_a_record_is_read_without_its_table(profile):
    found = profile_of_text(PROFILE, profile)
    assert found.cube_file == "workshop.cube"
    assert found.monitor.cube is None


@pytest.mark.parametrize(
    "name", ["/etc/passwd", "../up.cube", "look.txt", ".cube", "", "a\nb.cube"]
)
def test_a_profile_can_name_no_file_elsewhere(profile, name):
    profile.write_text(f'curve = "V-Log"\n[screen]\ncube = {name!r}\n'.replace("\\n", "\\\\n"))
    with pytest.raises(ProfileError, match=r"is no name of a table|screen\.cube"):
        read_profile(profile)


def test_what_is_larger_than_a_table_can_be_is_not_read(tmp_path):
    path = tmp_path / "large.cube"
    path.write_bytes(CUBE.encode())
    os.truncate(path, MOST_BYTES + 1)
    with pytest.raises(CubeError, match=r"^large\.cube is larger than such a table can be$"):
        read_cube(path)
    # 65 entries each way, each of three numbers of eight decimals and what parts them.
    largest = 65**3 * len("0.12345678 0.12345678 0.12345678\n")
    assert 1.8 * largest < MOST_BYTES < 2.2 * largest
