"""What a bundle carries, and what it could carry if its maker meant ill or its stick failed."""

import gzip
import hashlib
import io
import os
import tarfile
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from firmware.update.bundle import Bundle, opened_bundle
from firmware.update.bundling import make_bundle
from firmware.update.manifest import Manifest, Release
from firmware.update.unpacking import MOST_DEPTH, unpack
from tests.updates import all_of, made_key, made_update, made_version, refusal

RELEASE = Release("1.2.3", "any", "3.13", 1)


def packed(*members):
    """A packed version of any members: name, kind, content, where a link leads."""
    made = io.BytesIO()
    with (
        gzip.GzipFile("", "wb", 1, made, mtime=0) as squeezed,
        tarfile.open(fileobj=squeezed, mode="w|") as tar,
    ):
        for name, kind, content, link in members:
            member = tarfile.TarInfo(name)
            member.type, member.size, member.linkname = kind, len(content), link
            tar.addfile(member, io.BytesIO(content))
    return made.getvalue()


def file(name, content=b"x"):
    return name, tarfile.REGTYPE, content, ""


def given_bundle(payload, unpacked=10_000, entries=50):
    digest = hashlib.sha256(payload).hexdigest()
    manifest = Manifest(RELEASE, len(payload), digest, unpacked, entries)
    return Bundle("x", io.BytesIO(payload), b"", b"", 0, len(payload)), manifest


def refused(folder, payload, **said):
    bundle, manifest = given_bundle(payload, **said)
    words = refusal(lambda: unpack(bundle, manifest, folder / "new"))
    outside = {name for name in all_of(folder) if not name.startswith("new")}
    assert outside == set(), outside
    assert words.startswith("x: ")
    return words


def test_a_bundles_version_is_there_as_it_was_made(tmp_path):
    key, _ = made_key(tmp_path)
    path = made_update(tmp_path, "1.2.3", key)
    made = made_version(tmp_path / "again", "1.2.3")
    with opened_bundle(path) as bundle:
        unpack(bundle, bundle.manifest(), tmp_path / "new")
    assert all_of(tmp_path / "new") == all_of(made)
    assert os.access(tmp_path / "new/bin/midgrey", os.X_OK)
    assert not os.access(tmp_path / "new/release.toml", os.X_OK)


def test_it_is_a_new_folder_of_its_own_and_none_that_is_there_is_filled(tmp_path):
    payload = packed(file("release.toml"))
    bundle, manifest = given_bundle(payload)
    (tmp_path / "new").mkdir()
    with pytest.raises(FileExistsError):
        unpack(bundle, manifest, tmp_path / "new")
    assert list((tmp_path / "new").iterdir()) == []


def test_times_are_those_it_was_made_with(tmp_path):
    key, _ = made_key(tmp_path)
    made = made_version(tmp_path / "m", "1.2.3")
    os.utime(made / "share/README.md", (1_700_000_000, 1_700_000_000))
    make_bundle(made, key, tmp_path / "x.update")
    with opened_bundle(tmp_path / "x.update") as bundle:
        unpack(bundle, bundle.manifest(), tmp_path / "new")
    assert (tmp_path / "new/share/README.md").stat().st_mtime == 1_700_000_000


@pytest.mark.parametrize(
    "name",
    ["/etc/passwd", "../x", "a/../../x", "..", "a/\nb", "x" * 500, "/".join("a" * 30), "\x1b[2J"],
)
def test_nothing_is_written_outside_of_its_folder(tmp_path, name):
    assert len("a" * 30) > MOST_DEPTH
    assert "outside of its own folder" in refused(tmp_path, packed(file(name)))


@pytest.mark.parametrize(
    "kind",
    [tarfile.SYMTYPE, tarfile.LNKTYPE, tarfile.CHRTYPE, tarfile.BLKTYPE, tarfile.FIFOTYPE],
)
@pytest.mark.parametrize("link", ["/etc/passwd", "release.toml", ".."])
def test_links_devices_and_pipes_are_refused(tmp_path, kind, link):
    words = refused(tmp_path, packed(("venv/x", kind, b"", link)))
    assert "venv/x, which is no plain file" in words


def test_a_link_is_no_way_out_for_what_comes_after_it(tmp_path):
    payload = packed(("a", tarfile.SYMTYPE, b"", str(tmp_path)), file("a/b"))
    assert "no plain file" in refused(tmp_path, payload)
    assert not (tmp_path / "b").exists()


def test_it_is_no_larger_than_it_says(tmp_path):
    payload = packed(file("a", bytes(5001)), file("b", bytes(5000)))
    assert "more than it says" in refused(tmp_path, payload)
    assert (tmp_path / "new/a").stat().st_size == 5001
    assert not (tmp_path / "new/b").exists()


def test_there_are_no_more_files_than_it_says(tmp_path):
    payload = packed(*(file(str(each)) for each in range(51)))
    assert "more than it says" in refused(tmp_path, payload)


def test_no_file_comes_twice_or_within_another(tmp_path):
    for number, names in enumerate([("a", "a"), ("a", "a/b"), ("a/b", "a")]):
        folder = tmp_path / str(number)
        folder.mkdir()
        assert "two things of the name" in refused(folder, packed(*map(file, names)))


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.data())
def test_a_flipped_bit_is_never_taken(tmp_path_factory, data):
    folder = tmp_path_factory.mktemp("flipped")
    payload = bytearray(packed(file("bin/midgrey", b"x" * 300), file("release.toml", b"y" * 300)))
    bundle, manifest = given_bundle(bytes(payload))
    at = data.draw(st.integers(0, len(payload) * 8 - 1))
    payload[at // 8] ^= 1 << at % 8
    bundle = replace(bundle, file=io.BytesIO(bytes(payload)))
    words = refusal(lambda: unpack(bundle, manifest, folder / "new"))
    assert "damaged" in words or "not what was signed" in words or "x: it" in words


def test_another_version_than_it_says_is_refused(tmp_path):
    other = replace(RELEASE, version="9.9.9").text().encode()
    for members in (
        [file("bin/midgrey"), file("release.toml", other)],
        [file("release.toml", RELEASE.text().encode())],
        [file("bin/midgrey")],
        [file("bin/midgrey"), file("release.toml", RELEASE.text().encode())],  # no program
    ):
        folder = tmp_path / str(len(list(tmp_path.iterdir())))
        folder.mkdir()
        assert "not the version" in refused(folder, packed(*members))
