"""The root as a file: what is written is what is read back, with modes, and dated alike."""

import pytest

from hardware.card import ext4
from hardware.card.errors import ImageError
from hardware.card.layout import MEBI
from tests.hardware.card.made import EPOCH, needs_tools, tools

UUID = "6d696467-7265-4000-8000-000000000003"
pytestmark = needs_tools


@pytest.fixture
def root(tmp_path):
    path = tmp_path / "root"
    ext4.make(path, 16 * MEBI, "rootfs", UUID, tools())
    return path


@pytest.fixture
def tree(tmp_path):
    made = tmp_path / "tree"
    for name, text in {
        "etc/one.txt": "one\n",
        "opt/a b/two (2).txt": "two\n",
        "opt/a b/three": "#!/bin/sh\n",
    }.items():
        (made / name).parent.mkdir(parents=True, exist_ok=True)
        (made / name).write_text(text)
    (made / "opt/a b/three").chmod(0o755)
    (made / "opt/link").symlink_to("a b/three")
    return made


def test_what_is_written_is_read_back(root, tree, tmp_path):
    ext4.write_tree(root, tree, tools())
    assert ext4.read(root, "/opt/a b/two (2).txt", tools()) == "two\n"
    assert ext4.read(root, "/none", tools()) is None
    ext4.take(root, "/opt", tmp_path, tools())
    assert (tmp_path / "opt/link").readlink().as_posix() == "a b/three"
    said, _ = tools().run("debugfs", "-R", 'stat "/opt/a b/three"', str(root))
    assert "Mode:  0755" in said
    assert "User:     0   Group:     0" in said
    assert f"mtime: {EPOCH:#x}".replace("0x", "0x") in said
    assert f"ctime: {EPOCH:#x}" in said


def test_twice_replaces(root, tree):
    ext4.write_tree(root, tree, tools())
    (tree / "etc/one.txt").write_text("another\n")
    (tree / "opt/link").unlink()
    (tree / "opt/link").symlink_to("elsewhere")
    ext4.write_tree(root, tree, tools())
    assert ext4.read(root, "/etc/one.txt", tools()) == "another\n"
    assert ext4.missing(root, ["/opt/link", "/etc", "/no"], tools()) == {"/no"}
    tools().run("e2fsck", "-f", "-n", str(root))


def test_the_same_words_make_the_same_bytes(root, tree, tmp_path):
    ext4.write_tree(root, tree, tools())
    again = tmp_path / "again"
    ext4.make(again, 16 * MEBI, "rootfs", UUID, tools())
    ext4.write_tree(again, tree, tools())
    assert again.read_bytes() == root.read_bytes()


def test_growing_keeps_what_is_there(root, tree):
    ext4.write_tree(root, tree, tools())
    ext4.grow(root, 40 * MEBI, tools())
    assert ext4.read(root, "/etc/one.txt", tools()) == "one\n"
    said, _ = tools().run("debugfs", "-R", "stats", str(root))
    assert f"Block count:              {40 * MEBI // 4096}" in said


def test_what_does_not_fit_is_said(root, tree):
    (tree / "large").write_bytes(bytes(range(256)) * 4096 * 20)
    with pytest.raises(ImageError, match="--room"):
        ext4.write_tree(root, tree, tools())


def test_what_is_no_file_system_is_said(tmp_path):
    path = tmp_path / "noise"
    path.write_bytes(b"noise" * 100_000)
    with pytest.raises(ImageError, match="no ext4"):
        ext4.grow(path, 2 * MEBI, tools())


def test_a_name_that_cannot_be_said_is_refused(root, tree):
    (tree / 'a"b').write_text("x")
    with pytest.raises(ImageError, match="rename it"):
        ext4.write_tree(root, tree, tools())
