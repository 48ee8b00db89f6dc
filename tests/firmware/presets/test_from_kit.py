"""Presets of a kit: what it may set, judged as a preset's file is; what was taken, kept whole."""

import json

import pytest
from hypothesis import event, given
from hypothesis import strategies as st

from firmware.errors import PresetError
from firmware.kit.settings import PRESET_KEYS
from firmware.presets.document import PresetDocument
from firmware.presets.from_kit import KitKept, keep_taken, read_keys, read_taken, understood

RIGHT = {
    "title": "Night",
    "notes": "for the crane",
    "profile": "log-v",
    "view": "watch",
    "target": "-1 st",
    "target_within": "0.3 st",
}
OWN = sorted(set(PresetDocument.model_fields) - set(PRESET_KEYS))
ID = "a" * 32


def refusal(keys):
    with pytest.raises(PresetError) as found:
        understood(keys)
    assert "\n" not in str(found.value)
    return str(found.value)


def test_all_that_a_kit_may_set_is_understood():
    assert set(RIGHT) == set(PRESET_KEYS)
    found = understood(RIGHT)
    assert (found.title, found.view, found.profile) == ("Night", "watch", "log-v")
    assert (str(found.target), found.within_stops) == ("-1 st", 0.3)
    assert understood({}).view is None


@pytest.mark.parametrize("key", OWN)
def test_what_is_each_units_own_is_refused_by_its_name(key):
    said = refusal({**RIGHT, key: "on"})
    assert said.startswith(f"'{key}' is each unit's own")
    assert "target_within" in said


def test_what_a_unit_keeps_for_itself_is_all_that_a_lock_could_be_lifted_by():
    assert {"lock", "lock_allows", "lock_code", "kit", "page", "page_code", "feed"} <= set(OWN)


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({"view": "nonesuch"}, "view: "),
        ({"profile": "nonesuch"}, "unknown profile 'nonesuch'"),
        ({"profile": "/dev/zero"}, "never a file"),
        ({"profile": "other.toml"}, "never a file"),
        ({"profile": "other.TOML"}, "never a file"),
        ({"target": "bright"}, "target: "),
        ({"target": True}, "target: "),
        ({"target_within": "0 st"}, "target_within: "),
        ({"view": "x", "target": "y", "profile": "z", "target_within": "w"}, "and 1 more"),
        ({"a\nb": "x"}, "'a\\nb' is each unit's own"),
    ],
)
def test_a_mistake_is_refused_as_in_a_file(keys, said):
    assert said in refusal(keys)


def tried(keys):
    try:
        understood(keys)
    except PresetError as fault:
        return str(fault)
    return ""


VALUES = st.text(max_size=20) | st.booleans() | st.floats(-1e6, 1e6)
KEYS = st.sampled_from([*PRESET_KEYS, *OWN]) | st.text(max_size=12)


# Most of them right, so that what lies behind a first mistake is reached too.
NEARLY = st.fixed_dictionaries(
    {}, optional={key: st.just(value) | st.just(value) | VALUES for key, value in RIGHT.items()}
)


@given(NEARLY | NEARLY | st.dictionaries(KEYS, VALUES, max_size=8))
def test_whatever_comes_is_understood_or_refused_with_one_sentence(keys):
    said = tried(keys)
    event("refused" if said else "taken")
    assert "\n" not in said
    assert said or set(keys) <= set(PRESET_KEYS)


def test_a_file_to_be_sent_has_the_mistakes_of_one(tmp_path):
    path = tmp_path / "night.toml"
    path.write_text('view = "watch"\ntarget = "-1 st"\n')
    assert read_keys(path) == {"view": "watch", "target": "-1 st"}
    for text, said in (
        ("lock = false\n", "'lock' is each unit's own"),
        ("view = 'x'\n", "view: "),
        ("view = 'watch'\nview = 'pins'\n", ":2: "),
        ("view = \n", "night.toml"),
    ):
        path.write_text(text)
        with pytest.raises(PresetError) as found:
            read_keys(path)
        assert str(path) in str(found.value)
        assert said in str(found.value)


def test_what_was_taken_is_there_again_and_a_damaged_file_is_said(tmp_path):
    path = tmp_path / "kit-preset.json"
    assert read_taken(path) == KitKept()
    kept = KitKept(ID, {"view": "watch"})
    keep_taken(path, kept)
    assert read_taken(path) == kept
    for damaged in (
        b"{",
        b"[]",
        json.dumps({"id": ID, "keys": {"view": 1}}).encode(),
        b"x" * 30_000,
    ):
        path.write_bytes(damaged)
        with pytest.raises(PresetError, match=r"kit-preset.json: (is damaged|cannot be read)"):
            read_taken(path)
