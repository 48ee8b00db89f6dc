import io

import pytest

from firmware.commands.presets import folder_of, list_presets
from firmware.errors import PresetError


def listed(folder):
    out = io.StringIO()
    try:
        list_presets(folder, out)
    except PresetError as fault:
        return out.getvalue(), str(fault).splitlines()
    return out.getvalue(), []


def test_what_a_unit_starts_with_is_marked(tmp_path):
    (tmp_path / "day.toml").write_text('title = "Day"\nview = "watch"\ntarget = "1 st"\n')
    (tmp_path / "night.toml").write_text('lock = true\nlock_allows = ["spot"]\nprofile = "hlg"\n')
    (tmp_path / "midgrey.toml").write_text('boot = "night"\n')
    said, mistakes = listed(tmp_path)
    assert mistakes == []
    day, night = (line.split() for line in said.splitlines() if "day" in line or "night" in line)
    assert day == ["day", "Day", "watch", "+1", "st", "none"]
    assert night == ["*", "night", "night", "hlg", "allows", "spot"]


def test_every_mistake_of_every_file_is_listed_behind_what_is_right(tmp_path):
    (tmp_path / "a.toml").write_text('view = "x"\nrotate = 1\n')
    (tmp_path / "b.toml").write_text("")
    said, mistakes = listed(tmp_path)
    assert "b" in said
    assert len(mistakes) == 3
    assert "none is chosen" in mistakes[0]


def test_no_presets_and_no_folder(tmp_path):
    assert listed(tmp_path) == (f"No presets in {tmp_path}.\n", [])
    with pytest.raises(PresetError, match="there is no such folder"):
        list_presets(tmp_path / "gone", io.StringIO())


def test_the_folder_is_that_of_a_unit(tmp_path):
    assert str(folder_of({})) == "/boot/firmware/midgrey"
    named = {"MIDGREY_PRESETS": f"/nowhere:{tmp_path}"}
    assert folder_of(named) == tmp_path
