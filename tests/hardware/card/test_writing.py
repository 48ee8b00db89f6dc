"""Writing to a card: what is refused, and that what is written is what is read back."""

import os

import pytest

from hardware.card.errors import ChoiceError
from hardware.card.writing import Disk, check, copy, look_at, main

CARD = Disk("sdb", 16 << 30, "reader", can_be_taken_out=True)


def machine(root, *, size=1 << 16, removable="1", where="devices/pci0/usb1/block/sdb"):
    place = root / "sys" / where
    (place / "device").mkdir(parents=True)
    for name, text in {
        "removable": removable,
        "size": f"{size // 512}",
        "device/model": "R",
    }.items():
        (place / name).write_text(text + "\n")
    (root / "sys/block").mkdir()
    (root / "sys/block/sdb").symlink_to(place)
    (root / "dev").mkdir()
    (root / "dev/sdb").write_bytes(b"older" * (size // 5) + b"x" * (size % 5))
    (root / "proc").mkdir()
    (root / "proc/mounts").write_text("/dev/sda1 / ext4 rw 0 0\n")
    return root


def test_an_image_is_written_and_what_lies_behind_it_stays(tmp_path, capsys):
    root = machine(tmp_path)
    image = tmp_path / "card.img"
    image.write_bytes(bytes(range(256)) * 128)
    before = (root / "dev/sdb").read_bytes()
    assert main([str(image), "/dev/sdb", "/dev/sdb"], root) == 0
    written = (root / "dev/sdb").read_bytes()
    assert written[: 1 << 15] == image.read_bytes()
    assert written[1 << 15 :] == before[1 << 15 :]
    assert "may be taken out" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["/dev/sdb", "/dev/sdc"], "twice alike"),
        (["/dev/sdb1", "/dev/sdb1"], "no whole disk"),
        (["/dev/none", "/dev/none"], "no whole disk"),
        (["/dev/../etc", "/dev/../etc"], "no whole disk"),
    ],
)
def test_another_device_is_left_alone(tmp_path, capsys, words, said):
    root = machine(tmp_path)
    image = tmp_path / "card.img"
    image.write_bytes(b"new" * 1000)
    assert main([str(image), *words], root) == 2
    assert said in capsys.readouterr().err
    assert (root / "dev/sdb").read_bytes().startswith(b"older")


@pytest.mark.parametrize(
    ("disk", "mounts", "said"),
    [
        (CARD, "/dev/sdb1 /media/x vfat rw 0 0\n", "in use at /media/x"),
        (CARD, "/dev/sdb / vfat rw 0 0\n", "in use"),
        (Disk("mmcblk0", 1 << 34, "", True), "/dev/mmcblk0p2 / ext4 rw 0 0\n", "in use at /"),
        (Disk("sdb", 1 << 34, "", False), "", "built in"),
        (Disk("sdb", 2 << 40, "", True), "", "a disk rather than a card"),
        (Disk("sdb", 1 << 20, "", True), "", "larger card"),
    ],
)
def test_what_is_no_card_or_in_use_is_refused(disk, mounts, said):
    with pytest.raises(ChoiceError, match=said):
        check(disk, 1 << 30, mounts)


def test_another_disk_of_a_longer_name_in_use_does_not_matter():
    check(CARD, 1 << 30, "/dev/sdba1 / ext4 rw 0 0\n/dev/sdc /x vfat rw 0 0\n")


@pytest.mark.parametrize(
    ("removable", "where", "is_card"),
    [
        ("1", "devices/pci0/ata1/block/sdb", True),
        ("0", "devices/pci0/usb1/1-1/block/sdb", True),
        ("0", "devices/platform/mmc_host/mmc0/block/sdb", True),
        ("0", "devices/pci0/ata1/block/sdb", False),
    ],
)
def test_what_can_be_taken_out_is_known_by_where_it_hangs(tmp_path, removable, where, is_card):
    disk = look_at("/dev/sdb", machine(tmp_path, removable=removable, where=where))
    assert disk.can_be_taken_out == is_card
    assert (disk.size_bytes, disk.model) == (1 << 16, "R")


def test_a_card_that_gives_back_something_else_is_said(tmp_path, monkeypatch):
    image, device = tmp_path / "image", tmp_path / "device"
    image.write_bytes(b"a" * 5000)
    device.write_bytes(b"b" * 5000)

    def worn(_):
        raw = bytearray(device.read_bytes())
        raw[7] ^= 1
        device.write_bytes(raw)

    monkeypatch.setattr(os, "fsync", worn)
    with pytest.raises(ChoiceError, match="another"):
        copy(image, device, lambda _: None)


def test_an_image_that_is_not_there_is_said(tmp_path, capsys):
    root = machine(tmp_path)
    assert main([str(tmp_path / "none"), "/dev/sdb", "/dev/sdb"], root) == 2
    assert "none" in capsys.readouterr().err
