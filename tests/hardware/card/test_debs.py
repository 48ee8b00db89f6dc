"""Debian packages as files."""

import pytest

from hardware.card import debs
from hardware.card.boot_lines import Input
from hardware.card.errors import PackageError
from tests.hardware.card import made
from tests.hardware.card.made import needs_tools, tools

pytestmark = needs_tools


def test_they_say_themselves_what_they_are(tmp_path):
    made.deb(tmp_path, "b", architecture="all", version="1:2-3")
    made.deb(tmp_path, "a")
    found = debs.read_folder(tmp_path, tools())
    assert [(each.name, each.version, each.architecture) for each in found] == [
        ("a", "1", "arm64"),
        ("b", "1:2-3", "all"),
    ]
    assert all(len(each.sha256) == 64 for each in found)


def test_none_twice_other_machines_and_damage_are_said(tmp_path):
    with pytest.raises(PackageError, match="holds no Debian packages"):
        debs.read_folder(tmp_path, tools())
    made.deb(tmp_path, "a")
    made.deb(tmp_path, "a", version="2")
    with pytest.raises(PackageError, match="twice"):
        debs.read_folder(tmp_path, tools())
    (tmp_path / "a_2_arm64.deb").unlink()
    path = made.deb(tmp_path, "c", architecture="amd64")
    with pytest.raises(PackageError, match="for amd64"):
        debs.read_folder(tmp_path, tools())
    path.write_bytes(path.read_bytes()[:150])
    with pytest.raises(PackageError, match="damaged"):
        debs.read_folder(tmp_path, tools())


def test_a_camera_needs_its_own():
    assert "python3-picamera2" in debs.wanted(Input.CAMERA)
    assert "python3-picamera2" not in debs.wanted(Input.BRIDGE)
    assert "python3-pygame" in debs.wanted(Input.USB)


def test_keys_are_looked_for_where_they_were_taken_to(tmp_path):
    new = "Types: deb\nSigned-By: /usr/share/keyrings/a.pgp\n"
    old = "deb [signed-by=/usr/share/keyrings/a.pgp] http://x y z\n"
    assert f"Signed-By: {tmp_path}/usr/share" in debs.with_keys_from(new, tmp_path)
    assert f"[signed-by={tmp_path}/usr/share" in debs.with_keys_from(old, tmp_path)
    assert debs.with_keys_from(new, None) == new


def test_all_there_is_all_there(tmp_path):
    made.deb(tmp_path, "a", depends="b")
    made.deb(tmp_path, "b")
    packages = debs.read_folder(tmp_path, tools())
    debs.check_complete(["a"], packages, made.STATUS, tools())
    with pytest.raises(PackageError, match=r"\(b\)"):
        debs.check_complete(["a"], packages[:1], made.STATUS, tools())
    with pytest.raises(PackageError, match="none-such"):
        debs.check_complete(["none-such"], packages, made.STATUS, tools())


def test_an_archive_out_of_reach_is_said(tmp_path):
    sources = debs.Sources(made.STATUS, {"a.list": f"deb [trusted=yes] file:{tmp_path}/none x y\n"})
    with pytest.raises(PackageError, match="cannot be fetched") as caught:
        debs.fetch(["a"], sources, tmp_path / "debs", tools())
    assert "\n" not in str(caught.value)
