"""Which preset a unit starts with, and what it starts as where that file is spoilt."""

import pytest

from firmware.errors import PresetError
from firmware.presets.shelf import (
    LAST_GOOD,
    MOST_FILES,
    MOST_SAID,
    boot,
    chosen_file,
    folders_of,
    look_in,
)


@pytest.fixture
def folder(tmp_path):
    made = tmp_path / "boot"
    made.mkdir()
    return made


@pytest.fixture
def state(tmp_path):
    made = tmp_path / "state"
    made.mkdir()
    return made


def write(folder, **files):
    for name, text in files.items():
        (folder / f"{name}.toml").write_text(text)


def test_without_presets_nothing_is_said(folder, state, tmp_path):
    for place in (folder, tmp_path / "gone"):
        found = boot([place], state)
        assert (found.preset, found.said) == (None, ())


def test_the_only_one_is_started_with(folder, state):
    write(folder, day='title = "Day"\nprofile = "hlg"')
    found = boot([folder], state)
    assert (found.preset.title, found.said) == ("Day", ())
    assert (state / LAST_GOOD).read_text() == 'title = "Day"\nprofile = "hlg"'


def test_of_several_a_file_says_which(folder, state):
    write(folder, day="", night='title = "Night"')
    said = boot([folder], state).said
    assert "there are 2 presets and none is chosen" in said[1]
    assert 'write boot = "day" in a file midgrey.toml beside them' in said[1]
    for word in ("night", "Night", "NIGHT.toml"):
        write(folder, midgrey=f'boot = "{word}"')
        assert boot([folder], state).preset.title == "Night"
    write(folder, midgrey='boot = "nihgt"')
    with pytest.raises(PresetError, match=r"there is no preset 'nihgt'; .*night"):
        chosen_file(look_in(folder), folder)


def test_a_spoilt_one_is_skipped_and_the_last_good_one_is_used(folder, state):
    write(folder, day='title = "Day"\nview = "watch"')
    boot([folder], state)
    write(folder, day='title = "Day"\nview = "wacth"\nlock = 1')
    found = boot([folder], state)
    assert dict(found.preset.asked) == {"view": "watch"}
    assert found.said[0] == "the preset is skipped, and the last good one is used (Day)"
    assert len(found.said) == 3
    assert "day.toml:2: view: unknown view 'wacth'" in found.said[1]
    # What is kept is still the good one, over as many starts as it takes.
    assert boot([folder], state) == found


@pytest.mark.parametrize("kept", [None, "view = 7"])
def test_without_a_good_one_it_starts_without(folder, state, kept):
    if kept is not None:
        (state / LAST_GOOD).write_text(kept)
    write(folder, day="view = 7")
    for place in (state, None):
        found = boot([folder], place)
        assert found.preset is None
        assert "there is no good one before it" in found.said[0]


def test_no_more_is_said_than_a_screen_holds(folder, state):
    write(folder, day="\n".join(f"nonsense{n} = 1" for n in range(30)))
    said = boot([folder], state).said
    assert len(said) == 1 + MOST_SAID + 1
    assert said[-1] == f"{30 - MOST_SAID} more mistakes: midgrey presets lists them"


def test_a_folder_of_anything_is_bounded_and_names_beside_files_are_none(folder):
    for n in range(MOST_FILES + 50):
        (folder / f"p{n:03}.TOML").write_text("")
    (folder / "._p000.toml").write_bytes(b"\0\5\x16\7")
    (folder / "notes.txt").write_text("")
    shelf = look_in(folder)
    assert len(shelf.files) == MOST_FILES
    assert not any(name.startswith(".") for name in shelf.files)


def test_a_card_that_takes_no_copy_costs_nobody_the_preset(folder, state, monkeypatch):
    def refuse(_path, _content):
        raise OSError

    monkeypatch.setattr("firmware.presets.shelf.save", refuse)
    write(folder, day="")
    assert boot([folder], state).preset.name == "day"


def test_the_first_folder_that_has_any_counts(folder, tmp_path):
    older = tmp_path / "older"
    older.mkdir()
    write(older, night="")
    assert boot([folder, older], None).preset.name == "night"
    write(folder, day="")
    assert boot([folder, older], None).preset.name == "day"
    assert [str(each) for each in folders_of({"MIDGREY_PRESETS": "/a:b:/c"})] == ["/a", "/c"]
    assert folders_of({}) == ()
