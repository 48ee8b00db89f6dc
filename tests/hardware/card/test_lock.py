"""The lock: what stands in it, and what may not."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardware.card.errors import LockError
from hardware.card.lock import normalised, parse_lock, read_lock
from tests.places import ROOT

FOLDER = ROOT / "hardware/card"
HASH = "a" * 64


def test_the_projects_own_lock_holds_all_that_is_asked_for():
    names = {entry.name for entry in read_lock(FOLDER / "lock.txt")}
    lines = (FOLDER / "lock.in").read_text().splitlines()
    wanted = {line.split(">=")[0] for line in lines if line and not line.startswith("#")}
    assert wanted <= names
    assert "pygame" not in names


def test_what_midgrey_depends_on_is_in_it_or_comes_from_debian():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    extras = project["optional-dependencies"]
    wanted = project["dependencies"] + extras["page"] + extras["kit"]
    names = {entry.name for entry in read_lock(FOLDER / "lock.txt")} | {"pygame"}
    assert {each.split(">=")[0] for each in wanted} <= names


def test_an_entry_over_several_lines():
    text = f"# made by\nA_b.c==1.0 \\\n    --hash=sha256:{HASH} \\\n    --hash=sha256:{'b' * 64}\n"
    (entry,) = parse_lock(text, "x")
    assert (entry.name, entry.version) == ("a-b-c", "1.0")
    assert entry.hashes == {HASH, "b" * 64}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "empty"),
        ("a==1\n", "no name==version with"),
        (f"a>=1 --hash=sha256:{HASH}\n", "no name==version with"),
        (f"a==1 ; python_version<'3' --hash=sha256:{HASH}\n", "no name==version with"),
        (f"a==1 --hash=sha256:{HASH[:-1]}\n", "no name==version with"),
        (f"a==1 --hash=sha256:{HASH}\nA==2 --hash=sha256:{HASH}\n", "twice"),
        (f"--index-url x\na==1 --hash=sha256:{HASH}\n", "no name==version with"),
    ],
)
def test_what_is_no_lock_is_said(text, words):
    with pytest.raises(LockError, match=words):
        parse_lock(text, "this.txt")


def test_a_file_that_is_not_there_is_said(tmp_path):
    with pytest.raises(LockError, match="cannot be read"):
        read_lock(tmp_path / "none.txt")


@given(st.text(max_size=200))
def test_any_text_is_a_lock_or_a_sentence(text):
    try:
        parse_lock(text, "x")
    except LockError:
        return


@given(st.text(st.sampled_from("aB-_.1"), min_size=1))
def test_a_normalised_name_stays_as_it_is(name):
    assert normalised(normalised(name)) == normalised(name)
