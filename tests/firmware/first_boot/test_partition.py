"""The data partition: found on the card that the root is on, grown, and never emptied."""

import shutil
import subprocess

import pytest

from firmware.errors import FirstBootError
from firmware.first_boot import partition
from firmware.first_boot.partition import DataPlace, find, grow, holds_ext4, is_mounted

MOUNTS = """\
22 1 179:2 / / rw,noatime shared:1 - ext4 /dev/root rw
30 22 179:1 / /boot/firmware rw shared:2 - vfat /dev/mmcblk0p1 rw
31 22 0:20 / /run rw shared:3 - tmpfs tmpfs rw
"""
DATA = "40 22 179:3 / /var/lib/midgrey rw,noatime - ext4 /dev/mmcblk0p3 rw\n"


def board(root, *, partitions=(1, 2, 3), mounts=MOUNTS):
    disk = root / "sys/devices/mmc0/block/mmcblk0"
    for number in partitions:
        each = disk / f"mmcblk0p{number}"
        each.mkdir(parents=True)
        for name, value in {
            "partition": number,
            "dev": f"179:{number}",
            "start": 100_000 * number,
            "size": 100_000,
        }.items():
            (each / name).write_text(f"{value}\n")
    (disk / "size").write_text("1000000\n")
    (root / "sys/dev/block").mkdir(parents=True)
    for number in partitions:
        (root / f"sys/dev/block/179:{number}").symlink_to(disk / f"mmcblk0p{number}")
    (root / "proc/self").mkdir(parents=True)
    (root / "proc/self/mountinfo").write_text(mounts)
    return root


def test_it_is_found_beside_the_root(tmp_path):
    place = find(board(tmp_path))
    assert place == DataPlace(
        tmp_path / "dev/mmcblk0",
        tmp_path / "dev/mmcblk0p3",
        "179:3",
        300_000,
        100_000,
        1_000_000,
    )
    assert place.can_grow


def test_a_card_without_one_has_none(tmp_path):
    assert find(board(tmp_path, partitions=(1, 2))) is None


def test_a_root_on_no_card_is_said(tmp_path):
    with pytest.raises(FirstBootError, match="no partition of a card"):
        find(board(tmp_path, mounts="22 1 0:30 / / rw - overlay overlay rw\n"))


def place(tmp_path, *, size=100_000):
    node = tmp_path / "node"
    node.write_bytes(bytes(4096))
    return DataPlace(tmp_path / "disk", node, "179:3", 300_000, size, 1_000_000)


class Runs:
    def __init__(self):
        self.commands = []

    def __call__(self, command, given):
        self.commands.append(command[0])
        self.given = given


def test_mounted_it_grows_where_it_is(tmp_path):
    runs = Runs()
    grow(place(tmp_path), MOUNTS + DATA, tmp_path / "scratch", runs)
    assert runs.commands == ["sfdisk", "partx", "resize2fs"]


def test_a_second_time_the_table_is_left_alone(tmp_path):
    runs = Runs()
    full = place(tmp_path, size=700_000 - 100)
    assert not full.can_grow
    grow(full, MOUNTS + DATA, tmp_path / "scratch", runs)
    assert runs.commands == ["resize2fs"]


def test_not_mounted_it_is_mounted_for_that_and_made_only_where_nothing_is(tmp_path):
    runs, where = Runs(), place(tmp_path)
    grow(where, MOUNTS, tmp_path / "scratch", runs)
    assert runs.commands == ["sfdisk", "partx", "mke2fs", "mount", "resize2fs", "umount"]
    data = bytearray(4096)
    data[1024 + 56 : 1024 + 58] = b"\x53\xef"
    where.node.write_bytes(data)
    assert holds_ext4(where.node)
    runs = Runs()
    grow(where, MOUNTS, tmp_path / "scratch", runs)
    assert "mke2fs" not in runs.commands


def test_a_failure_lets_go_of_it(tmp_path):
    done = []

    def run(command, _given):
        done.append(command[0])
        if command[0] == "resize2fs":
            raise FirstBootError("no")

    with pytest.raises(FirstBootError):
        grow(place(tmp_path), MOUNTS, tmp_path / "scratch", run)
    assert done[-1] == "umount"


def test_who_is_mounted_is_known_by_number():
    where = DataPlace(None, None, "179:3", 0, 0, 0)
    assert not is_mounted(where, MOUNTS)
    assert is_mounted(where, MOUNTS + DATA)
    assert not is_mounted(where, MOUNTS.replace("179:1 ", "179:30 "))


def test_a_program_that_fails_or_is_missing_is_one_sentence():
    with pytest.raises(FirstBootError, match=r"sh -c echo no >&2; exit 1: no"):
        partition.run_program(["sh", "-c", "echo no >&2; exit 1"], "")
    with pytest.raises(FirstBootError, match="could not be run"):
        partition.run_program(["/no/such/program"], "")
    partition.run_program(["sh", "-c", "read x && [ $x = given ]"], "given\n")


SFDISK = shutil.which("sfdisk", path="/usr/sbin:/sbin:/usr/bin:/bin")


@pytest.mark.skipif(SFDISK is None, reason="no sfdisk (Debian: fdisk)")
def test_sfdisk_does_on_an_image_what_it_is_told(tmp_path, monkeypatch):
    image = tmp_path / "disk"
    with image.open("wb") as file:
        file.truncate(64 << 20)
    table = "label: dos\nstart=2048, size=2048, type=c\nstart=4096, size=2048, type=83\n"
    table += "start=8192, size=2048, type=83\n"
    subprocess.run([SFDISK, "-q", image], input=table, text=True, check=True)
    monkeypatch.setenv("PATH", "/usr/sbin:/usr/bin:/bin")
    where = DataPlace(image, tmp_path / "node", "179:3", 8192, 2048, 131072)
    (tmp_path / "node").write_bytes(bytes(4096))

    def run(command, given):
        if command[0] == "sfdisk":
            partition.run_program(command, given)

    grow(where, MOUNTS + DATA, tmp_path, run)
    said = subprocess.run([SFDISK, "-d", image], capture_output=True, text=True, check=True).stdout
    last = said.strip().splitlines()[-1]
    assert "start=        8192, size=      122880" in last
