"""What a phone may say."""

import json
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.actions import Press
from firmware.errors import PageError
from firmware.journal.slate import FIELDS, LONGEST, Slate
from firmware.page.asked import (
    MOST_BYTES,
    Marked,
    Pressed,
    ProfileChosen,
    ReadyFor,
    Tapped,
    Viewed,
    parse_asked,
)

JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4)
    ),
    max_leaves=8,
)


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ({"do": "press", "press": "hold"}, Pressed(Press.HOLD)),
        ({"do": "tap", "x": 0.25, "y": 1}, Tapped(0.25, 1.0)),
        ({"do": "tap", "x": 0, "y": 0, "pin": True}, Tapped(0.0, 0.0, pins=True)),
        ({"do": "view", "name": "balance"}, Viewed("balance")),
        ({"do": "profile", "number": 2}, ProfileChosen(2)),
        ({"do": "mark", "slate": {"scene": "12"}}, Marked(Slate(scene="12"))),
        ({"do": "mark", "slate": {}, "all": True}, Marked(Slate(), everyone=True)),
        ({"do": "mark", "slate": {}, "all": 1}, Marked(Slate())),
        ({"do": "want", "moment": True, "figures": False}, ReadyFor(moment=True, figures=False)),
        ({"do": "want", "picture": 1}, ReadyFor()),
    ],
)
def test_a_message_is_understood(said, meant):
    assert parse_asked(json.dumps(said)) == meant


@pytest.mark.parametrize(
    "said",
    [
        {"do": "press", "press": "quit"},
        {"do": "press", "press": "help"},
        {"do": "press", "press": "HOLD"},
        {"do": "press"},
        {"do": "tap", "x": -0.1, "y": 0},
        {"do": "tap", "x": 0, "y": 1.001},
        {"do": "tap", "x": True, "y": 0},
        {"do": "tap", "x": "0", "y": 0},
        {"do": "tap", "x": 10**400, "y": 0},
        {"do": "profile", "number": -1},
        {"do": "profile", "number": True},
        {"do": "profile", "number": 1.0},
        {"do": "mark"},
        {"do": "mark", "slate": {"scene": 12}},
        {"do": "mark", "slate": {"other": "12"}},
        {"do": "held together"},
        {"do": "leave"},
        {},
        [],
        "press",
        None,
    ],
)
def test_what_is_no_message_is_refused_in_one_sentence(said):
    with pytest.raises(PageError) as fault:
        parse_asked(json.dumps(said))
    assert "\n" not in str(fault.value)


@pytest.mark.parametrize("text", ["", "{", "nul", '{"do": "tap", "x": NaN, "y": 0}', "[" * 4000])
def test_what_is_no_json_is_refused(text):
    with pytest.raises(PageError):
        parse_asked(text)


def test_a_message_that_is_too_long_is_refused_before_it_is_read():
    with pytest.raises(PageError, match="bytes"):
        parse_asked('{"do": "want"' + " " * MOST_BYTES + "}")


@given(st.text(max_size=200) | st.binary(max_size=200) | JSON.map(json.dumps))
def test_anything_is_a_message_or_one_sentence(text):
    with suppress(PageError):
        parse_asked(text)


@given(
    st.sampled_from(["press", "tap", "view", "profile", "mark", "want"]),
    st.dictionaries(
        st.sampled_from(["press", "x", "y", "pin", "name", "number", "slate", "figures"]),
        JSON,
        max_size=4,
    ),
)
def test_anything_in_a_message_is_understood_or_refused(kind, rest):
    try:
        asked = parse_asked(json.dumps({"do": kind, **rest}))
    except PageError:
        return
    if isinstance(asked, Tapped):
        assert 0.0 <= asked.across <= 1.0
        assert 0.0 <= asked.down <= 1.0


@given(st.dictionaries(st.sampled_from(FIELDS), st.text(max_size=600)))
def test_a_slate_has_no_control_characters_and_an_end(fields):
    text = json.dumps({"do": "mark", "slate": fields})
    if len(text) > MOST_BYTES:
        return
    asked = parse_asked(text)
    assert isinstance(asked, Marked)
    slate = asked.slate
    for name in FIELDS:
        value = getattr(slate, name)
        assert len(value) <= LONGEST
        assert value.isprintable()
