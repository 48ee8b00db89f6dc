"""A bundle for cards: every wheel in it, signed, and the same each time."""

import subprocess
import tarfile

import pytest

from firmware.update.bundle import opened_bundle
from hardware.card import release, wheels
from hardware.card.bundle_command import main
from hardware.card.lock import read_lock
from tests.hardware.card import made


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    place = tmp_path_factory.mktemp("bundle")
    made.wheels(place / "wheels")
    command = ["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-C", "release", "-f"]
    subprocess.run([*command, str(place / "key")], check=True)
    return place


def words(folder, *others):
    found = ["--key", str(folder / "key"), "--wheels", str(folder / "wheels")]
    return [*found, "--lock", str(folder / "lock.txt"), *others]


@pytest.fixture(scope="module")
def bundle(folder):
    out = folder / "one.update"
    assert main(words(folder, "--out", str(out))) == 0
    return out


def test_it_holds_every_wheel_and_says_whom_it_fits(folder, bundle):
    chosen = wheels.choose(read_lock(folder / "lock.txt"), folder / "wheels")
    with opened_bundle(bundle) as found:
        manifest = found.manifest()
        with tarfile.open(fileobj=found.carried(), mode="r|gz") as packed:
            inside = {member.name: member for member in packed}
    assert manifest.release.version == release.name_of(chosen)
    assert (manifest.release.machine, manifest.release.python) == ("aarch64", "3.13")
    site = release.SITE.as_posix()
    assert chosen
    for wheel in chosen:
        assert any(name.startswith(f"{site}/{wheel.name}-{wheel.version}.dist") for name in inside)
    assert f"{site}/firmware/__main__.py" in inside
    assert inside["bin/midgrey"].mode & 0o111


def test_the_same_input_gives_the_same_bundle(folder, bundle, capsys):
    out = folder / "two.update"
    assert main(words(folder, "--out", str(out))) == 0
    assert capsys.readouterr().out == f"{out}\n"
    assert out.read_bytes() == bundle.read_bytes()


def test_without_a_name_it_is_called_after_its_version(folder, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(words(folder)) == 0
    said = capsys.readouterr()
    assert (tmp_path / said.out.strip()).exists()
    assert said.out.startswith(f"{release.number()}-")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (["--key", "/nowhere/key"], "key"),
        (["--wheels", "/nowhere/wheels"], "holds no wheel"),
        (["--lock", "/nowhere/lock"], "lock"),
        (["--out", "/nowhere/x.update"], "/nowhere"),
    ],
)
def test_what_is_wrong_is_one_sentence(folder, tmp_path, monkeypatch, capsys, change, said):
    monkeypatch.chdir(tmp_path)
    assert main([*words(folder), *change]) == 2
    lines = [
        line for line in capsys.readouterr().err.splitlines() if not line.endswith("minute or two")
    ]
    lines = [line for line in lines if "making midgrey" not in line]
    assert len(lines) == 1
    assert said in lines[0]
    assert not list(tmp_path.iterdir())
