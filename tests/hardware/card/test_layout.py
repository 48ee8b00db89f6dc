"""The table of partitions against sfdisk (util-linux), which reads and writes the same bytes."""

import json
import shutil
import subprocess

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardware.card.errors import ImageError
from hardware.card.layout import (
    ALIGNED,
    LINUX,
    MEBI,
    SECTOR,
    Partition,
    boot_and_root,
    fresh_head,
    planned,
    read_table,
    with_entries,
    with_table,
)

BOOT = Partition(16384, 1048576, 0x0C, bootable=True)
ROOT = Partition(1064960, 3670016, LINUX)
SFDISK = shutil.which("sfdisk", path="/usr/sbin:/sbin:/usr/bin:/bin")


def head_of(*partitions):
    return with_entries(fresh_head(0x12345678), partitions)


def test_a_table_is_read_as_it_was_written():
    size = ROOT.end * SECTOR
    assert read_table(head_of(BOOT, ROOT), size, "x") == (BOOT, ROOT)
    assert boot_and_root((BOOT, ROOT), "x") == (BOOT, ROOT)


@pytest.mark.skipif(SFDISK is None, reason="no sfdisk (Debian: fdisk)")
def test_sfdisk_reads_the_same(tmp_path):
    laid = planned(BOOT, ROOT, 3 << 30)
    path = tmp_path / "card.img"
    with path.open("wb") as file:
        file.write(with_table(fresh_head(0x12345678), laid))
        file.truncate(laid.size_bytes)
    said = subprocess.run([SFDISK, "-J", path], check=True, capture_output=True, text=True).stdout
    table = json.loads(said)["partitiontable"]
    assert (table["label"], table["id"]) == ("dos", "0x12345678")
    listed = [(e["start"], e["size"], int(e["type"], 16)) for e in table["partitions"]]
    assert listed == [(e.first, e.sectors, e.kind) for e in (laid.boot, laid.root, laid.data)]
    assert table["partitions"][0]["bootable"]


@given(st.integers(1, 1 << 34))
def test_partitions_follow_each_other_on_whole_blocks(more):
    laid = planned(BOOT, ROOT, more)
    assert laid.boot == BOOT
    assert laid.root.first == ROOT.first
    assert laid.root.end >= ROOT.end + more / SECTOR
    assert laid.root.end == laid.data.first
    assert laid.data.first % ALIGNED == 0
    assert laid.data.size_bytes == 64 * MEBI
    assert laid.size_bytes == laid.data.end * SECTOR


def test_boot_code_and_the_number_of_the_disk_stay():
    before = bytes(range(256)) * 2
    before = before[:510] + b"\x55\xaa"
    after = with_table(before, planned(BOOT, ROOT, 1))
    assert after[:446] == before[:446]
    assert after[510:] == b"\x55\xaa"


@pytest.mark.parametrize(
    ("head", "words"),
    [
        (b"", "no image of a card"),
        (bytes(512), "no image of a card"),
        (head_of(Partition(1, 100, 0xEE)), "GPT"),
        (head_of(BOOT, Partition(1064960, 1 << 31, LINUX)), "cut short"),
        (head_of(Partition(0, 5, 0x0C)), "cut short"),
    ],
)
def test_what_is_no_image_is_said(head, words):
    with pytest.raises(ImageError, match=words):
        read_table(head, ROOT.end * SECTOR, "this.img")


@pytest.mark.parametrize(
    "table",
    [
        (),
        (ROOT,),
        (ROOT, BOOT),
        (BOOT, ROOT, Partition(ROOT.end, 8, LINUX)),
        (BOOT, Partition(20000, 8, LINUX)),
    ],
)
def test_another_layout_is_said(table):
    with pytest.raises(ImageError, match=r"this\.img has partitions of types"):
        boot_and_root(table, "this.img")


@given(st.binary(min_size=512, max_size=512))
def test_any_sector_gives_partitions_inside_or_a_sentence(head):
    try:
        found = read_table(head[:510] + b"\x55\xaa", 1 << 30, "x")
    except ImageError:
        return
    assert all(each.first > 0 and each.end * SECTOR <= 1 << 30 for each in found)
