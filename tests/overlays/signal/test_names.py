"""Names are found by any spelling, and the nearest are offered."""

from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.signal.gamuts import published_gamuts
from overlays.signal.names import MOST_OFFERED, Names, near, plain
from overlays.signal.published import published_curves


@dataclass(frozen=True)
class Thing:
    name: str
    aliases: tuple[str, ...] = ()


TABLES = (published_curves(), published_gamuts())
SPELLINGS = [
    (table, thing, spelling)
    for table in TABLES
    for thing in table
    for spelling in (thing.name, *thing.aliases)
]


@given(st.text())
def test_plain_is_letters_and_digits_whatever_their_case(word):
    assert all(each.isalnum() for each in plain(word))
    assert plain(word) == plain(f" {word}-") == plain(plain(word))


@given(st.sampled_from(SPELLINGS), st.data())
def test_a_thing_is_found_by_any_spelling(spelling, data):
    table, thing, word = spelling
    mark = st.sampled_from(["", " ", "-", ".", "_", "("])
    typed = "".join(
        data.draw(mark) + (each.upper() if data.draw(st.booleans()) else each.lower())
        for each in word
    )
    assert Names(table).find(typed) is thing


@given(st.sampled_from(SPELLINGS), st.data())
def test_one_wrong_letter_leaves_something_to_offer(spelling, data):
    table, _, word = spelling
    at = data.draw(st.integers(0, len(plain(word)) - 1))
    typed = f"{plain(word)[:at]}é{plain(word)[at + 1 :]}"
    names = Names(table)
    offered = names.near(typed)
    assert names.find(typed) is None
    assert 1 <= len(offered) <= MOST_OFFERED
    assert set(offered) <= {each.name for each in table}


def test_offers_are_names_and_each_comes_once():
    names = Names([Thing("Rec.709", ("Rec709",)), Thing("V-Log")])
    assert names.near("rek.709") == ["Rec.709"]
    assert names.near("") == []
    assert names.find("") is None


def test_near_gives_words_as_they_are_spelled():
    assert near("SLOG3", ["V-Log", "S-Log3", "S-Log2"], most=2) == ["S-Log3", "S-Log2"]
    assert near("nothing like it", ["PQ"]) == []
    assert near("targt", ["target"], likeness=0.95) == []


def test_two_things_of_one_spelling_are_a_mistake():
    with pytest.raises(ValueError, match="'s log 2' is S-Log2 and other"):
        Names([Thing("S-Log2"), Thing("other", ("s log 2",))])
    Names([Thing("S-Log2", ("s log 2",))])  # of one thing they are not
