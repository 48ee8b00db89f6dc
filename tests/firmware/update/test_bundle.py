import hashlib
import io
import os
import tarfile

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from firmware.update.bundle import CARRIES, NO_BUNDLE, SAYS, SIGNED, opened_bundle
from firmware.update.manifest import MOST_BYTES
from tests.updates import made_key, made_update, refusal


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    folder = tmp_path_factory.mktemp("bundle")
    key, _ = made_key(folder)
    return made_update(folder, "1.2.3", key)


def opened(path):
    with opened_bundle(path) as bundle:
        return bundle.manifest()


def test_any_tar_program_reads_its_parts(made):
    with tarfile.open(made, "r:") as tar:  # Python's own, by the standard
        assert tar.getnames() == [SAYS, SIGNED, CARRIES]
        carried = tar.extractfile(CARRIES).read()
        says = tar.extractfile(SAYS).read()
    with opened_bundle(made) as bundle:
        assert bundle.says == says
        assert bundle.carried().read() == carried
        assert bundle.carried().digest() == hashlib.sha256(carried).hexdigest()
        assert bundle.manifest().payload_sha256 == hashlib.sha256(carried).hexdigest()


def test_what_is_carried_ends_where_it_ends(made):
    with opened_bundle(made) as bundle:
        carried = bundle.carried()
        pieces = []
        while piece := carried.read(1000):
            pieces.append(piece)
        assert sum(map(len, pieces)) == bundle.carries_bytes
        assert carried.read() == b""


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.data())
def test_a_part_of_one_is_none(made, tmp_path, data):
    whole = made.read_bytes()
    cut = tmp_path / "cut.update"
    cut.write_bytes(whole[: data.draw(st.integers(0, len(whole) - 1))])
    said = refusal(lambda: opened(cut))
    assert said.endswith(NO_BUNDLE)


def test_no_byte_of_it_can_be_another_and_none_be_added(made, tmp_path):
    """But those of its parts, which their digest and the signature hold."""
    whole = made.read_bytes()
    with opened_bundle(made) as bundle:
        parts = (len(bundle.says), len(bundle.signature), bundle.carries_bytes)
    inside, at = set(), 0
    for size in parts:
        inside |= set(range(at + 512, at + 512 + size))
        at += 512 + size + -size % 512
    other = tmp_path / "other.update"
    for place in sorted(set(range(len(whole))) - inside)[::7]:
        changed = bytearray(whole)
        changed[place] ^= 0x10
        other.write_bytes(changed)
        assert refusal(lambda: opened(other)).endswith(NO_BUNDLE), place
    other.write_bytes(whole + b"\0")
    assert refusal(lambda: opened(other)).endswith(NO_BUNDLE)


def write(path, *parts):
    with tarfile.open(path, "w", format=tarfile.USTAR_FORMAT) as tar:
        for name, size, kind in parts:
            member = tarfile.TarInfo(name)
            member.size, member.type = size, kind
            tar.addfile(member, io.BytesIO(bytes(size)))


@pytest.mark.parametrize(
    "parts",
    [
        [],
        [(SIGNED, 5, tarfile.REGTYPE)],
        [(SAYS, 0, tarfile.REGTYPE)],
        [(SAYS, MOST_BYTES + 1, tarfile.REGTYPE)],
        [(SAYS, 0, tarfile.SYMTYPE)],
        [(SAYS, 5, tarfile.REGTYPE), ("more", 5, tarfile.REGTYPE)],
        [(SAYS, 5, tarfile.REGTYPE), (SIGNED, 5, tarfile.REGTYPE), ("x", 5, tarfile.REGTYPE)],
        [(SAYS, 5, tarfile.XHDTYPE)],
    ],
)
def test_other_parts_make_no_bundle(tmp_path, parts):
    path = tmp_path / "x.update"
    write(path, *parts)
    assert refusal(lambda: opened(path)).endswith(NO_BUNDLE)


@given(st.binary(max_size=2000))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_other_file_is_none(tmp_path, content):
    path = tmp_path / "x.update"
    path.write_bytes(content)
    assert refusal(lambda: opened(path)) == f"{path}: {NO_BUNDLE}"


def test_what_is_no_file_is_said(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    assert "no plain file" in refusal(lambda: opened(tmp_path / "pipe"))
    assert "no plain file" in refusal(lambda: opened(tmp_path))
    assert "cannot be read" in refusal(lambda: opened(tmp_path / "none"))
