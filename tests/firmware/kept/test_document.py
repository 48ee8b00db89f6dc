"""The shape of the file of settings: what is written is read, and nothing else is."""

import json

import pytest

from firmware.kept.document import Kept, KeptAsked, KeptLook, KeptPin, KeptSpot, understood

SPOT = KeptSpot(column=700, row=400, size=60)
KEPT = Kept(
    asked=KeptAsked(view="expose", profile="log-v"),
    view="advice",
    profile="hlg",
    columns=1920,
    rows=1080,
    spot=SPOT,
    pins=(KeptPin(name="key", place=SPOT, by_hand=True),),
    trace="LUMA",
    painted=False,
    gain=2,
    looks=(
        KeptLook(
            name="hlg",
            made_of="abc",
            stripes=(0.30000000000000004, -7.5),
            selected=1,
            dial_kelvin=4300.0,
            instruments={"advice": {"iso": "ISO 800"}},
        ),
    ),
)


def test_what_is_written_is_read_to_the_last_digit():
    assert understood(KEPT.content()) == KEPT
    assert json.loads(KEPT.content())["schema"] == 1


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("schema", 2),
        ("view", 7),
        ("columns", 0),
        ("columns", 10**9),
        ("gain", "2"),
        ("painted", 1),
        ("spot", {"column": -1, "row": 0, "size": 8}),
        ("looks", [{"name": "x", "made_of": "y", "stripes": ["1"]}]),
        ("nonsense", 1),
    ],
)
def test_another_shape_is_refused(key, value):
    changed = {**json.loads(KEPT.content()), key: value}
    with pytest.raises(ValueError, match=key if key != "nonsense" else "Extra inputs"):
        understood(json.dumps(changed).encode())


@pytest.mark.parametrize(
    "content", [b"", b"\0" * 200, b"{", b"[]", b"\xff\xfe", KEPT.content()[:-9], b"[" * 9999]
)
def test_half_a_file_is_refused(content):
    with pytest.raises((ValueError, RecursionError)):
        understood(content)


def test_a_number_that_is_none_is_refused():
    with pytest.raises(ValueError, match="dial_kelvin"):
        understood(KEPT.content().replace(b"4300.0", b"1e999"))
