"""The boot partition as a file."""

import pytest

from hardware.card import fat
from hardware.card.errors import ImageError
from hardware.card.layout import MEBI
from tests.hardware.card.made import needs_tools, tools

pytestmark = needs_tools


def made(path, tree):
    fat.make(path, 40 * MEBI, "bootfs", 0x12345678, tools())
    fat.write_tree(path, tree, tools())
    return path


@pytest.fixture
def tree(tmp_path):
    folder = tmp_path / "tree"
    (folder / "midgrey/pins").mkdir(parents=True)
    (folder / "midgrey/README.txt").write_text("words\n")
    (folder / "midgrey/pins/a long name.txt").write_text("pins\n")
    return folder


def test_what_is_written_is_read_back_and_replaced(tmp_path, tree):
    path = made(tmp_path / "boot", tree)
    assert fat.read(path, "/midgrey/pins/a long name.txt", tools()) == "pins\n"
    (tree / "midgrey/README.txt").write_text("others\n")
    fat.write_tree(path, tree, tools())
    assert fat.read(path, "/midgrey/README.txt", tools()) == "others\n"
    assert fat.read(path, "/none", tools()) is None


def test_the_same_words_make_the_same_bytes(tmp_path, tree):
    assert made(tmp_path / "a", tree).read_bytes() == made(tmp_path / "b", tree).read_bytes()


def test_what_is_no_file_system_is_said(tmp_path):
    path = tmp_path / "noise"
    path.write_bytes(b"noise" * 100_000)
    with pytest.raises(ImageError, match="no FAT file system"):
        fat.read(path, "/cmdline.txt", tools())


def test_what_does_not_fit_is_said(tmp_path, tree):
    (tree / "large").write_bytes(bytes(41 * MEBI))
    with pytest.raises(ImageError, match="could not be written"):
        made(tmp_path / "boot", tree)
