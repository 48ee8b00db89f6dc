import struct

from hypothesis import given
from hypothesis import strategies as st

from firmware.feeds.tiff_tags import short_tag


def built(order, tags):
    mark = {"<": b"II*\0", ">": b"MM\0*"}[order]
    entries = b"".join(struct.pack(f"{order}HHIHH", tag, 3, 1, value, 0) for tag, value in tags)
    return mark + struct.pack(f"{order}IH", 8, len(tags)) + entries


@given(
    st.sampled_from("<>"),
    st.dictionaries(st.integers(1, 65535), st.integers(0, 65535), max_size=8),
    st.integers(1, 65535),
)
def test_a_tag_is_found_in_either_order_of_bytes(order, tags, other):
    content = built(order, list(tags.items()))
    for tag, value in tags.items():
        assert short_tag(content, tag) == value
    if other not in tags:
        assert short_tag(content, other) is None


@given(st.binary(max_size=64), st.sampled_from([b"", b"II*\0", b"MM\0*"]))
def test_nothing_is_found_in_what_is_none(content, mark):
    found = short_tag(mark + content, 274)
    assert found is None or 0 <= found <= 65535
