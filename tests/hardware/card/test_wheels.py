"""Wheels: which fit, which are the locked ones, and that nothing leaves its folder."""

import hashlib
import zipfile

import pytest
from packaging.tags import compatible_tags, cpython_tags
from packaging.utils import parse_wheel_filename

from hardware.card.errors import ToolFailedError, WheelError
from hardware.card.lock import Locked
from hardware.card.tools import Tools
from hardware.card.wheels import choose, fetch, fits, licence_in, unpack

PLATFORMS = [f"manylinux_2_{minor}_aarch64" for minor in range(17, 42)] + ["manylinux2014_aarch64"]
OURS = set(cpython_tags((3, 13), platforms=PLATFORMS)) | set(
    compatible_tags((3, 13), "cp313", PLATFORMS)
)
NAMES = [
    "a-1-py3-none-any.whl",
    "a-1-py2.py3-none-any.whl",
    "a-1-py2-none-any.whl",
    "a-1-cp313-cp313-manylinux_2_27_aarch64.manylinux_2_28_aarch64.whl",
    "a-1-cp313-cp313-manylinux_2_17_x86_64.manylinux2014_x86_64.whl",
    "a-1-cp313-cp313t-manylinux_2_28_aarch64.whl",
    "a-1-cp314-cp314-manylinux_2_28_aarch64.whl",
    "a-1-cp312-abi3-manylinux_2_28_aarch64.whl",
    "a-1-cp314-abi3-manylinux_2_28_aarch64.whl",
    "a-1-cp311-cp311-manylinux_2_28_aarch64.whl",
    "a-1-cp313-cp313-manylinux2014_aarch64.manylinux_2_17_aarch64.whl",
    "a-1-cp313-cp313-manylinux_2_42_aarch64.whl",
    "a-1-cp313-cp313-musllinux_1_2_aarch64.whl",
    "a-1-cp313-none-any.whl",
    "a-1-1b-py3-none-any.whl",
]


@pytest.mark.parametrize("name", NAMES)
def test_fitting_is_as_packaging_has_it(name):
    assert fits(name) == bool(parse_wheel_filename(name)[3] & OURS)


@pytest.mark.parametrize("name", ["a.whl", "a-1.tar.gz", "a-1-py3-none-any", ""])
def test_what_is_no_wheel_fits_nothing(name):
    assert not fits(name)


def wheel(folder, name="a-1-py3-none-any.whl", files=None):
    files = {
        "a/__init__.py": b"X = 1\n",
        "a-1.dist-info/METADATA": b"Metadata-Version: 2.1\nName: a\nLicense: MIT\n\nwords\n",
        "a-1.data/purelib/b.py": b"",
        "a-1.data/scripts/a": b"#!python\n",
        **(files or {}),
    }
    path = folder / name
    with zipfile.ZipFile(path, "w") as archive:
        for inside, content in files.items():
            archive.writestr(inside, content)
    return path


def locked(path, name="a", version="1"):
    return Locked(name, version, frozenset({hashlib.sha256(path.read_bytes()).hexdigest()}))


def test_the_locked_one_is_chosen_and_unpacked(tmp_path):
    path = wheel(tmp_path)
    wheel(tmp_path, "a-2-py3-none-any.whl")
    wheel(tmp_path, "a-1-cp313-cp313-manylinux_2_17_x86_64.whl")
    (chosen,) = choose([locked(path)], tmp_path)
    assert (chosen.path, chosen.licence) == (path, "MIT")
    unpack([chosen], tmp_path / "site")
    site = tmp_path / "site"
    there = {path.relative_to(site).as_posix() for path in site.rglob("*") if path.is_file()}
    assert there == {"a/__init__.py", "a-1.dist-info/METADATA", "b.py"}


def test_missing_other_machine_and_other_hash_are_said(tmp_path):
    path = wheel(tmp_path)
    entry = locked(path)
    with pytest.raises(WheelError, match=r"no wheel of b 1 for the board: fetch"):
        choose([Locked("b", "1", frozenset())], tmp_path)
    path.rename(tmp_path / "a-1-cp313-cp313-win_arm64.whl")
    with pytest.raises(WheelError, match="only for other machines"):
        choose([entry], tmp_path)
    wheel(tmp_path, files={"a/more.py": b""})
    with pytest.raises(WheelError, match="not the file that was locked"):
        choose([entry], tmp_path)
    with pytest.raises(WheelError, match="holds no wheel"):
        choose([entry], tmp_path / "none")


@pytest.mark.parametrize("inside", ["../x.py", "/etc/x", "a/../../x", "a\\x"])
def test_nothing_is_put_outside(tmp_path, inside):
    path = wheel(tmp_path, files={inside: b"x"})
    chosen = choose([locked(path)], tmp_path)
    with pytest.raises(WheelError, match="outside of itself"):
        unpack(chosen, tmp_path / "site")
    assert not (tmp_path / "x.py").exists()


def test_a_damaged_archive_is_said(tmp_path):
    path = wheel(tmp_path)
    path.write_bytes(path.read_bytes()[:-40])
    with pytest.raises(WheelError, match="no whole wheel"):
        choose([locked(path)], tmp_path)


def test_a_licence_is_what_is_declared():
    assert licence_in("License-Expression: MIT\nLicense: x\n\nLicense-Expression: y") == "MIT"
    assert licence_in("Classifier: License :: OSI Approved :: BSD License\n") == "BSD License"
    assert licence_in("Name: a\n") == "not declared"


class Failing(Tools):
    def run(self, *_, **__):
        raise ToolFailedError("pip ended with 1", "much\nERROR: no network\n")


def test_no_network_is_one_sentence(tmp_path):
    with pytest.raises(WheelError, match=r"cannot be fetched \(ERROR: no network\)") as caught:
        fetch(tmp_path / "lock.txt", tmp_path, Failing(0))
    assert "\n" not in str(caught.value)
