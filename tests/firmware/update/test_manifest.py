import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import UpdateError
from firmware.update.manifest import (
    MOST_ENTRIES,
    MOST_UNPACKED,
    Manifest,
    Release,
    manifest_of,
    release_of,
)

RELEASES = st.builds(
    Release,
    st.from_regex(r"[0-9]{1,4}\.[0-9]{1,4}\.[0-9]{1,4}(-[0-9a-z]{1,16})?", fullmatch=True),
    st.sampled_from(["any", "aarch64", "x86_64"]),
    st.sampled_from(["3.11", "3.13"]),
    st.integers(1, 1000),
)
MANIFESTS = st.builds(
    Manifest,
    RELEASES,
    st.integers(1, MOST_UNPACKED),
    st.from_regex(r"[0-9a-f]{64}", fullmatch=True),
    st.integers(1, MOST_UNPACKED),
    st.integers(1, MOST_ENTRIES),
)


@given(RELEASES, MANIFESTS)
def test_what_is_written_is_read(release, manifest):
    assert release_of(release.text().encode(), "x") == release
    assert manifest_of(manifest.text().encode(), "x") == manifest


SAID = Manifest(Release("1.2.3", "any", "3.13", 1), 10, "0" * 64, 20, 3).text()


@pytest.mark.parametrize(
    ("was", "becomes", "key"),
    [
        ("1.2.3", "../../etc", "version"),
        ('"any"', '"x/y"', "machine"),
        ('"3.13"', '"2.7"', "python"),
        ("layout = 1", "layout = 0", "layout"),
        ("layout = 1", "layout = true", "layout"),
        ("layout = 1", "", "layout"),
        ("payload_bytes = 10", "payload_bytes = -1", "payload_bytes"),
        ("payload_bytes = 10", 'payload_bytes = "10"', "payload_bytes"),
        ("unpacked_bytes = 20", f"unpacked_bytes = {MOST_UNPACKED + 1}", "unpacked_bytes"),
        ("entries = 3", "entries = 1e3", "entries"),
        ("0" * 64, "0" * 63, "payload_sha256"),
    ],
)
def test_what_no_version_says_is_refused_by_its_key(was, becomes, key):
    assert was in SAID
    with pytest.raises(UpdateError, match=f"x: its {key} is none") as fault:
        manifest_of(SAID.replace(was, becomes).encode(), "x")
    assert "\n" not in str(fault.value)


@given(st.binary(max_size=200))
def test_any_other_bytes_are_refused_in_a_sentence(content):
    with pytest.raises(UpdateError) as fault:
        manifest_of(content, "x")
    assert re.fullmatch(r"x: it.+make it again", str(fault.value))
