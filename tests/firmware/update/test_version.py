import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.update.version import is_older, numbers_of

NUMBERS = st.tuples(*[st.integers(0, 9999)] * 3)


@given(NUMBERS, NUMBERS, st.from_regex(r"(-[0-9a-z]{1,16})?", fullmatch=True))
def test_versions_are_ordered_as_their_numbers(mine, others, label):
    mine_name = ".".join(map(str, mine)) + label
    other_name = ".".join(map(str, others))
    assert numbers_of(mine_name) == mine
    assert is_older(mine_name, other_name) == (mine < others)


@pytest.mark.parametrize(
    "name",
    [
        *("", "1.2", "1.2.3.4", "v1.2.3", "1.2.3-", "1.2.3-A", "1.2.3/x", "../1.2.3", "1.2.3\n"),
        *("1.2.3 ", "10000.0.0", "1.2.3-aaaaaaaaaaaaaaaaa", "١.٢.٣", ".1.2.3"),
    ],
)
def test_what_is_no_version_could_name_no_folder(name):
    assert numbers_of(name) is None
    assert not is_older(name, "9.9.9")
    assert not is_older("0.0.1", name)
