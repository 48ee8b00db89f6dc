"""Mistakes of a camera's controls: every one, at its own key, and none of what is right."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import ProfileError
from firmware.profiles.controls_check import control_problems
from firmware.profiles.reader import read_profile


def found(camera):
    """(key below camera, words) of the mistakes in the text of `[camera]`."""
    raw = tomllib.loads(f"[camera]\n{camera}\n")
    return [(each.path.removeprefix("camera."), each.what) for each in control_problems(raw)]


@pytest.mark.parametrize(
    "camera",
    [
        'iso = {now = 800, lowest = 400, highest = 12800}\nnd = {now = 0, only = [0, "0.6", 1.2]}',
        'aperture = {now = "T2.8", lowest = "T2", highest = "T22"}',
        "aperture = {now = 5.6, lowest = 2.8, highest = 22}",
        'aperture = {now = "T2.8", lowest = "T2.8", highest = "T2.8"}',  # a lens without an iris
        "iso = {now = 800, lowest = 800, highest = 800}",
        'aperture = {now = "T4", lowest = 2, highest = 22}',
        'shutter = {now = "180 deg", lowest = "45 deg", highest = "180 deg"}',
        'shutter = {now = "1/50 s", lowest = "1/1000 s", highest = "1/25 s"}',
        'nd = {now = "none", lowest = 0, highest = 1.8}\nrate = "25 fps"',
        "iso = {now = 800}",
        'nd = {now = "0.3 + 0.6", filters = [0.3, 0.6]}',
    ],
)
def test_what_is_right_is_left_alone(camera):
    assert found(camera) == []


@pytest.mark.parametrize(
    ("camera", "key", "said"),
    [
        ("iso = {now = 800, lowest = 12800, highest = 400}", "iso.lowest", "higher than highest"),
        ("nd = {filters = [0.3], only = [0.3]}", "nd.filters", "give the filters alone"),
        ("iso = {filters = [800]}", "iso.filters", "only nd can have filters"),
        ('nd = {filters = [0.3, "dark"]}', "nd.filters[2]", "dark"),
        ("aperture = {lowest = 22, highest = 2.8}", "aperture.lowest", "exchange the two"),
        ("nd = {lowest = 1.8, highest = 0}", "nd.lowest", "higher than highest, 0"),
        ("iso = {now = 200, lowest = 400, highest = 800}", "iso.now", "outside of its limits"),
        ("nd = {now = 0.9, only = [0, 0.6]}", "nd.now", "none of only, 0, 0.6"),
        (
            'aperture = {now = "T4", lowest = "f/2", highest = 22}',
            "aperture.lowest",
            "f/2 is marked unlike T4",
        ),
        ("iso = {now = 800, lowest = 400}", "iso.lowest", "one limit without highest"),
        ("nd = {only = [0], lowest = 0, highest = 1}", "nd.only", "both only and limits"),
        ('nd = {only = [0, "dark"]}', "nd.only[2]", "is no filter"),
        ("iso = {now = true}", "iso.now", "is no setting"),
    ],
)
def test_each_mistake_is_at_its_own_key_and_says_what_to_do(camera, key, said):
    assert [(at, said in what) for at, what in found(camera)] == [(key, True)]


def test_one_mistake_hides_no_other(tmp_path):
    """Issue: of what is nested only some were listed, and all of `[camera]` at one line."""
    path = tmp_path / "own.toml"
    path.write_text(
        'curve = "V-Log"\n'
        'target = "42 lm"\n'
        "[camera]\n"
        'rate = "fast"\n'
        "iso = {now = 64, lowest = 12800, highest = 400}\n"
        'aperture = {now = "T4", lowest = "f/2.8", highest = 22}\n'
        'shutter = {now = "bright"}\n'
        "[camera.nd]\n"
        "now = 0.9\n"
        "only = [\n"
        "    0,\n"
        '    "dark",\n'
        "]\n"
        "[watch]\n"
        'level = "0 st"\n'
        'level = "0.1 st"\n'
    )
    with pytest.raises(ProfileError) as fault:
        read_profile(path)
    lines = [int(line.split(":")[1]) for line in str(fault.value).splitlines()]
    assert lines == [2, 4, 5, 5, 6, 7, 9, 12, 15, 16]


@given(
    camera=st.dictionaries(
        st.sampled_from(["nd", "aperture", "iso", "shutter", "rate"]),
        st.one_of(
            st.text(max_size=5),
            st.dictionaries(
                st.sampled_from(["now", "lowest", "highest", "only", "steps"]),
                st.one_of(
                    st.none(),
                    st.booleans(),
                    st.floats(),
                    st.text(max_size=6),
                    st.lists(st.one_of(st.floats(), st.text(max_size=4)), max_size=3),
                ),
            ),
        ),
    )
)
def test_any_table_gives_sentences_and_no_fault(camera):
    for each in control_problems({"camera": camera}):
        assert each.path.startswith("camera.")
        assert each.what
