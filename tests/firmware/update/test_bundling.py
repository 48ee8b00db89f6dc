import os

import pytest

from firmware.update.bundle import opened_bundle
from firmware.update.bundling import main, make_bundle
from tests.updates import made_key, made_version, refusal


@pytest.fixture
def key(tmp_path):
    return made_key(tmp_path / "keys")[0]


def test_the_same_folder_makes_the_same_bundle(tmp_path, key):
    made = []
    for each in "ab":
        version = made_version(tmp_path / each, "1.2.3")
        for path in [version, *version.rglob("*")]:
            os.utime(path, (1_700_000_000 + 7, 1_700_000_000), follow_symlinks=False)
        make_bundle(version, key, tmp_path / f"{each}.update")
        made.append((tmp_path / f"{each}.update").read_bytes())
    assert made[0] == made[1]


def test_it_says_what_it_carries(tmp_path, key):
    version = made_version(tmp_path, "1.2.3", machine="x86_64")
    (version / "share/__pycache__").mkdir()
    (version / "share/__pycache__/x.pyc").write_bytes(b"x")
    manifest = make_bundle(version, key, tmp_path / "x.update")
    files = [p for p in version.rglob("*") if p.is_file() and not p.is_symlink()]
    files = [each for each in files if "__pycache__" not in each.parts]
    assert manifest.unpacked_bytes == sum(each.stat().st_size for each in files)
    assert manifest.release.machine == "x86_64"
    with opened_bundle(tmp_path / "x.update") as bundle:
        assert bundle.manifest() == manifest


def test_what_a_version_may_not_hold_is_named(tmp_path, key):
    version = made_version(tmp_path, "1.2.3")
    (version / "share/link").symlink_to("/etc/passwd")
    said = refusal(lambda: make_bundle(version, key, tmp_path / "x.update"))
    assert f"{version}/share/link: a version holds plain files and folders" in said
    assert not (tmp_path / "x.update").exists()


def test_the_command_says_what_it_wrote_or_why_not(tmp_path, key, capfd, monkeypatch):
    monkeypatch.chdir(tmp_path)
    version = made_version(tmp_path, "1.2.3")
    assert main([str(version), "--key", str(key)]) == 0
    assert capfd.readouterr().out.startswith("Wrote 1.2.3.update: 1.2.3, ")
    for folder in (tmp_path / "none", tmp_path / "keys"):
        assert main([str(folder), "--key", str(key)]) == 2
        assert "it is no version" in capfd.readouterr().err
    (version / "bin/midgrey").chmod(0o644)
    assert main([str(version), "--key", str(key)]) == 2
    assert "can be started" in capfd.readouterr().err
    (version / "bin/midgrey").chmod(0o755)
    assert main([str(version), "--key", str(key), "--out", str(tmp_path / "no/x")]) == 2
    assert capfd.readouterr().err.startswith("midgrey: ")
