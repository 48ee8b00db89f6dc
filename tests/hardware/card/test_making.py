"""A whole card from small stand-ins: what is on it, twice the same, nothing left where it fails."""

import json
import lzma
import tempfile
from dataclasses import replace
from pathlib import Path

import pytest

from firmware.presets.reader import read_preset
from firmware.system.warmth import STAMP
from hardware.card import ext4, fat, kernels, layout, making, release, sparse
from hardware.card.boot_lines import Board, Input
from hardware.card.command import main
from hardware.card.errors import CardError, ImageError, PackageError
from hardware.card.order import Order
from tests.hardware.card import made
from tests.hardware.card.made import needs_tools, tools

pytestmark = needs_tools
SMALL = 256 << 20


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    place = tmp_path_factory.mktemp("card")
    made.image(place)
    made.wheels(place / "wheels")
    made.packages(place / "debs")
    return place


def order(folder, out, **others):
    asked = {
        "image": folder / "makers.img",
        "out": out,
        "board": Board.PI4,
        "chosen": Input.BRIDGE,
        "lock_file": folder / "lock.txt",
        "wheels": folder / "wheels",
        "debs": folder / "debs",
        "kernels": folder / "kernels",
        "room_bytes": SMALL,
    }
    return Order(**asked | others)


@pytest.fixture(scope="module")
def card(folder):
    out = folder / "card.img"
    making.make(order(folder, out), tools(), print)
    return out


def parts(card):
    with card.open("rb") as file:
        return layout.read_table(file.read(512), card.stat().st_size, "card")


def in_root(card, path):
    return ext4.read(f"{card}?offset={parts(card)[1].start_bytes}", path, tools())


def in_boot(card, path):
    return fat.read(f"{card}@@{parts(card)[0].start_bytes}", path, tools())


def test_it_has_three_partitions_that_are_whole(card, tmp_path):
    boot, root, data = parts(card)
    assert root.size_bytes >= made.ROOT.size_bytes + SMALL
    for number, partition in enumerate((root, data)):
        sparse.take_out(card, partition.start_bytes, partition.size_bytes, tmp_path / str(number))
        tools().run("e2fsck", "-f", "-n", str(tmp_path / str(number)))
    said, _ = tools().run("debugfs", "-R", "stats", str(tmp_path / "1"))
    assert "midgrey-data" in said
    assert boot == made.BOOT


def test_the_version_is_there_as_units_look_for_it(card):
    status = in_root(card, "/opt/midgrey/layout")
    assert status == "1\n"
    listed = in_boot(card, "/midgrey/manifest.txt")
    version = listed.split()[2].rstrip(",")
    place = f"/opt/midgrey/releases/{version}"
    assert f'version = "{version}"' in in_root(card, f"{place}/release.toml")
    site = f"{place}/venv/lib/python3.13/site-packages"
    assert in_root(card, f"{site}/thing/a name (with blanks).txt") == "words\n"
    assert "def main" in in_root(card, f"{site}/firmware/__main__.py")
    assert "include-system-site-packages = true" in in_root(card, f"{place}/venv/pyvenv.cfg")
    assert "midgrey" in in_root(card, f"{place}/share/README.md")


def test_the_boot_partition_is_for_a_person(card, tmp_path):
    assert "tc358743" in in_boot(card, "/config.txt")
    assert "root=PARTUUID=6d696467-02" in in_boot(card, "/cmdline.txt")
    assert "resize" not in in_boot(card, "/cmdline.txt")
    assert in_boot(card, "/kernel8.img") == "no kernel\n"
    preset = tmp_path / "unit.toml"
    preset.write_text(in_boot(card, "/midgrey/unit.toml"))
    assert read_preset(preset).title == "midgrey"
    rows = [r for r in in_boot(card, "/midgrey/manifest.txt").splitlines() if r[:1] != "#"]
    kinds = [row.split("\t")[0] for row in rows]
    assert kinds.count("wheel") == 1
    assert kinds.count("debian") == len(list((card.parent / "debs").glob("*.deb")))
    assert all(len(row.split("\t")) == 5 for row in rows)


def test_the_same_input_gives_the_same_bytes(folder, card):
    again = folder / "again.img"
    renamed = folder / "renamed.img"
    (folder / "makers.img").rename(renamed)
    making.make(order(folder, again, image=renamed), tools(), print)
    renamed.rename(folder / "makers.img")
    assert again.read_bytes() == card.read_bytes()
    again.unlink()


def test_a_packed_image_gives_the_same_card(folder, card):
    packed = folder / "makers.img.xz"
    packed.write_bytes(lzma.compress((folder / "makers.img").read_bytes(), preset=0))
    out = folder / "of-packed.img"
    making.make(order(folder, out, image=packed), tools(), print)
    boot, root, data = parts(card)
    assert parts(out) == (boot, root, data)
    assert in_root(out, "/opt/midgrey/layout") == "1\n"
    for path in (out, packed):
        path.unlink()


def test_read_only_is_asked_for_later(folder):
    out = folder / "read-only.img"
    making.make(order(folder, out, read_only=True), tools(), print)
    assert in_boot(out, "/cmdline.txt").split()[-1] == "midgrey.readonly-later"
    out.unlink()


def refused(folder, tmp_path, **others):
    out = tmp_path / "card.img"
    out.write_bytes(b"older")
    with pytest.raises(CardError) as caught:
        making.make(order(folder, out, **others), tools(), print)
    assert out.read_bytes() == b"older"
    assert list(tmp_path.glob(".*")) == []
    assert "\n" not in str(caught.value)
    return caught


def test_what_is_no_image_leaves_all_as_it_was(folder, tmp_path):
    noise = folder / "noise.img"
    noise.write_bytes(b"noise" * 1000)
    assert "no image of a card" in str(refused(folder, tmp_path, image=noise).value)
    assert "there is no image" in str(refused(folder, tmp_path, image=folder / "none").value)


@pytest.mark.parametrize(
    ("settings", "words"),
    [
        ({"release": 'PRETTY_NAME="An older 12"\nVERSION_CODENAME=bookworm\n'}, "An older 12"),
        ({"release": "\n"}, "no system that is known"),
        ({"status": made.STATUS.replace("arm64", "armhf")}, "32 bits"),
        ({"cmdline": "nothing\n"}, "root="),
    ],
)
def test_another_system_is_said(folder, tmp_path, settings, words):
    other = tmp_path / "other"
    other.mkdir()
    path = made.image(other, **settings)
    place = tmp_path / "out"
    place.mkdir()
    caught = refused(folder, place, image=path)
    assert caught.type is ImageError
    assert words in str(caught.value)


def test_a_package_that_others_need_is_missed(folder, tmp_path):
    debs = tmp_path / "debs"
    made.packages(debs)
    made.deb(debs, "python3-pygame", depends="libmissing", version="2")
    (debs / "python3-pygame_1_arm64.deb").unlink()
    place = tmp_path / "out"
    place.mkdir()
    caught = refused(folder, place, debs=debs)
    assert caught.type is PackageError
    assert "libmissing" in str(caught.value)


class Emulated:
    """Stands for the emulated board: which kernels it was lent, and some that it makes."""

    def __init__(self, folder):
        self.folder, self.lent, self.told = folder, [], []

    def stand_in(self, _root, tree, _packages, _tools):
        (place,) = (tree / "opt/midgrey/releases").iterdir()
        assert (place / "bin/python").exists()
        return Path(tempfile.mkdtemp(dir=self.folder))

    def make(self, place, version, processor, _tools):
        made = place / kernels.PLACE / version
        made.mkdir(parents=True, exist_ok=True)
        self.lent.append(sorted(path.name for path in made.rglob("*.nbi")))
        self.told.append(processor)
        for name in ("student.student95-6", "rounding.amplitude-39"):
            inside = made / kernels.folder_of(kernels.site_of(version) / SPOT)
            inside.mkdir(exist_ok=True)
            (inside / f"{name}.py313.nbi").write_bytes(b"k")
        (made / STAMP).write_text('{"numba": "0", "midgrey": "0.0.1"}')
        return made


SPOT = "overlays/measure/spot"


@pytest.fixture
def emulated(tmp_path, monkeypatch):
    place = tmp_path / "emulated"
    place.mkdir()
    found = Emulated(place)
    monkeypatch.setattr(kernels, "stand_in", found.stand_in)
    monkeypatch.setattr(kernels, "make", found.make)
    return found


def test_kernels_are_made_where_there_are_none_and_once(folder, tmp_path, emulated):
    place = tmp_path / "kernels"
    place.mkdir()
    (place / "made-for.json").write_text('{"made_of": "older"}\n')
    (place / "old.nbi").write_bytes(b"old")
    out = tmp_path / "card.img"
    for _ in range(2):
        making.make(order(folder, out, kernels=place, make_kernels=True), tools(), print)
    assert (emulated.told, emulated.lent) == (["cortex-a72"], [[]])
    assert sorted(path.name for path in place.iterdir()) == [STAMP, "made-for.json", "overlays"]
    listed = in_boot(out, "/midgrey/manifest.txt")
    version = listed.split()[2].rstrip(",")
    inside = kernels.folder_of(kernels.site_of(version) / SPOT)
    laid = f"/var/cache/midgrey/kernels/{version}"
    assert in_root(out, f"{laid}/{inside}/student.student95-6.py313.nbi") == "k"
    stamp = json.loads(in_root(out, f"{laid}/{STAMP}"))
    assert stamp == {"numba": "0", "midgrey": release.number()}


def test_kernels_that_still_hold_are_not_made_again(folder, tmp_path, emulated):
    place, out = tmp_path / "kernels", tmp_path / "card.img"
    place.mkdir()
    asked = order(folder, out, kernels=place, make_kernels=True)
    making.make(asked, tools(), print)
    wanted = kernels.note_in(place)
    stale = {**wanted.loops, f"{SPOT}/rounding.py": "0"}
    kernels.write_note(place, replace(wanted, loops=stale))
    said: list[str] = []
    making.make(asked, tools(), said.append)
    assert emulated.lent == [[], ["student.student95-6.py313.nbi"]]
    assert kernels.note_in(place) == wanted
    kept = f"those of {len(wanted.loops) - 1} of {len(wanted.loops)} modules are there and are kept"
    assert any(kept in each for each in said), said


@pytest.mark.usefixtures("emulated")
def test_kernels_of_other_code_are_left_out_and_that_is_said(folder, tmp_path):
    place, out = tmp_path / "kernels", tmp_path / "card.img"
    said: list[str] = []
    place.mkdir()
    making.make(order(folder, out, kernels=place, make_kernels=True), tools(), print)
    wanted = kernels.note_in(place)
    stale = {**wanted.loops, f"{SPOT}/rounding.py": "0"}
    kernels.write_note(place, replace(wanted, loops=stale))
    making.make(order(folder, out, kernels=place), tools(), said.append)
    version = in_boot(out, "/midgrey/manifest.txt").split()[2].rstrip(",")
    inside = kernels.folder_of(kernels.site_of(version) / SPOT)
    laid = f"/var/cache/midgrey/kernels/{version}/{inside}"
    assert in_root(out, f"{laid}/student.student95-6.py313.nbi") == "k"
    assert not in_root(out, f"{laid}/rounding.amplitude-39.py313.nbi")
    brought = f"kernels of {len(wanted.loops) - 1} of {len(wanted.loops)} modules are brought"
    assert any(brought in each for each in said), said


def test_where_kernels_may_be_missing_the_board_looks_through_them(folder, tmp_path, emulated):
    place, out = tmp_path / "kernels", tmp_path / "card.img"
    said: list[str] = []
    place.mkdir()
    making.make(order(folder, out, kernels=place, make_kernels=True), tools(), print)
    kernels.write_note(place, replace(kernels.note_in(place), callers="of before"))
    making.make(order(folder, out, kernels=place), tools(), said.append)
    assert len(emulated.told) == 1
    version = in_boot(out, "/midgrey/manifest.txt").split()[2].rstrip(",")
    inside = kernels.folder_of(kernels.site_of(version) / SPOT)
    laid = f"/var/cache/midgrey/kernels/{version}"
    assert in_root(out, f"{laid}/{inside}/rounding.amplitude-39.py313.nbi") == "k"
    # Without its word the unit warms up, which loads what is there and makes the rest.
    assert not in_root(out, f"{laid}/{STAMP}")
    assert any("some may be missing" in each for each in said), said


def test_the_command_says_one_sentence_and_ends_with_2(folder, tmp_path, capsys):
    words = [str(folder / "none.img"), "--out", str(tmp_path / "c.img"), "--board", "pi5"]
    assert main(words) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert said.startswith("card: there is no image")
