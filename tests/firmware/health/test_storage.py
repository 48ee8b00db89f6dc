import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.health.storage import (
    Keeping,
    Space,
    keeping_of,
    kept_in,
    look_at_place,
    mount_at,
    mounts_of,
    space_of,
)

HERE = Path("/var/lib/midgrey")

# As systemd/readonly/mount leaves it: the card below a file system in memory, /run moved along.
READ_ONLY_BY_CHOICE = """\
overlay / overlay rw,relatime,lowerdir=/run/below,upperdir=/run/above/changes 0 0
tmpfs /run tmpfs rw,nosuid,nodev,size=93004k,mode=755 0 0
tmpfs /run/above tmpfs rw,relatime,size=50%,mode=755 0 0
/dev/mmcblk0p2 /media/card ext4 ro,relatime 0 0
/dev/mmcblk0p1 /boot/firmware vfat rw,relatime,errors=remount-ro 0 0
"""
DATA = "/dev/mmcblk0p3 /var/lib/midgrey ext4 rw,nosuid,nodev,noexec,noatime,commit=5 0 0\n"
# As overlayroot=tmpfs of raspi-config leaves it (pi.md of the facts: overlayroot).
OVERLAYROOT = """\
tmpfs-root /media/root-rw tmpfs rw,relatime 0 0
/dev/mmcblk0p2 /media/root-ro ext4 ro,relatime 0 0
overlayroot / overlay rw,relatime,lowerdir=/media/root-ro,upperdir=/media/root-rw/overlay 0 0
"""
CONTAINER = """\
overlay / overlay rw,relatime,lowerdir=/c/1:/c/2,upperdir=/c/diff 0 0
tmpfs /dev tmpfs rw,nosuid,size=65536k,mode=755 0 0
"""


def keeping(table, folder=HERE):
    mounts = mounts_of(table)
    return keeping_of(mount_at(folder, mounts), mounts)


@pytest.mark.parametrize(
    ("table", "expected"),
    [
        ("/dev/mmcblk0p2 / ext4 rw,noatime 0 0\n", Keeping.LASTING),
        ("/dev/mmcblk0p2 / ext4 ro,noatime,errors=remount-ro 0 0\n", Keeping.NOT),
        ("/dev/mmcblk0p2 / ext4 rw,emergency_ro 0 0\n", Keeping.NOT),
        (READ_ONLY_BY_CHOICE, Keeping.MEMORY),
        (READ_ONLY_BY_CHOICE + DATA, Keeping.LASTING),
        (READ_ONLY_BY_CHOICE + DATA.replace("rw,", "ro,"), Keeping.NOT),
        (OVERLAYROOT, Keeping.MEMORY),
        (CONTAINER, Keeping.LASTING),
        ("overlay / overlay ro,lowerdir=/a:/b 0 0\n", Keeping.NOT),
        ("overlay / overlay rw,lowerdir=/a:/b 0 0\n", Keeping.NOT),
        ("", Keeping.LASTING),
    ],
)
def test_how_long_a_folder_keeps_what_is_written_to_it(table, expected):
    assert keeping(table) is expected


def test_options_that_only_sound_read_only_are_not():
    assert keeping("/dev/sda1 / ext4 rw,errors=remount-ro,prot=ro 0 0\n") is Keeping.LASTING


def test_the_deepest_mount_counts_and_of_two_at_one_place_the_last():
    table = mounts_of(
        "a / ext4 rw 0 0\nb /var ext4 rw 0 0\nc /var/li ext4 rw 0 0\nd / ext4 ro 0 0\n"
    )
    assert mount_at(HERE, table).device == "b"
    assert mount_at(Path("/home"), table).device == "d"
    assert mount_at(HERE, ()) is None


def test_spaces_in_names_are_written_in_octal():
    mounts = mounts_of("/dev/sda1 /media/my\\040stick vfat rw 0 0\n")
    assert mounts[0].at == Path("/media/my stick")


@given(st.text(max_size=200))
def test_garbage_in_the_table_is_passed_over(text):
    for mount in mounts_of(text):
        assert mount.at.is_absolute()
    assert keeping(text) in Keeping


@given(st.lists(st.sampled_from(["/", "/var", "/var/lib/midgrey", "/run", "/a/b"]), max_size=6))
def test_a_folder_always_lies_on_a_mount_above_it(places):
    mounts = mounts_of("".join(f"d{n} {at} ext4 rw 0 0\n" for n, at in enumerate(places)))
    found = mount_at(HERE, mounts)
    above = [each for each in mounts if HERE.is_relative_to(each.at)]
    assert (found is None) == (not above)
    assert found is None or all(len(found.at.parts) >= len(each.at.parts) for each in above)


def test_a_look_at_a_board_whose_card_is_read_only_by_choice(pi):
    pi.mounts(READ_ONLY_BY_CHOICE)
    look = look_at_place(HERE, pi.root, lambda _path: Space(10**8))
    assert (look.keeping, look.is_root_in_memory) == (Keeping.MEMORY, True)
    look = look_at_place(HERE, pi.mounts(READ_ONLY_BY_CHOICE + DATA).root, lambda _path: None)
    assert (look.keeping, look.is_root_in_memory) == (Keeping.LASTING, True)
    assert (look.device, look.space) == ("/dev/mmcblk0p3", None)
    assert not look_at_place(HERE, pi.mounts(CONTAINER).root).is_root_in_memory


def test_inside_the_service_the_root_looks_read_only_and_is_known_all_the_same(pi):
    # ProtectSystem=strict shows every mount read-only but the service's own folders.
    own = "overlay /var/lib/midgrey overlay rw,upperdir=/run/above/changes 0 0\n"
    pi.mounts(READ_ONLY_BY_CHOICE.replace("overlay rw,", "overlay ro,") + own)
    look = look_at_place(HERE, pi.root)
    assert (look.keeping, look.is_root_in_memory) == (Keeping.MEMORY, True)


def test_a_folder_that_is_not_there_yet_is_looked_at_where_it_would_be_made(pi):
    asked: list[Path] = []
    look_at_place(Path("/var/lib/other/deep"), pi.root, asked.append)
    assert asked == [pi.root / "var/lib"]


def test_without_a_table_of_mounts_there_still_is_room(cardboard):
    look = look_at_place(Path("/"), cardboard.root)
    assert look.keeping is Keeping.LASTING
    assert look.space.free_bytes > 0


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_whether_this_user_may_write(pi):
    assert look_at_place(HERE, pi.root).may_write
    (pi.root / "var/lib/midgrey").chmod(0o555)
    assert not look_at_place(HERE, pi.root).may_write


def test_space_as_the_file_system_tells_it(tmp_path):
    told, asked = space_of(tmp_path), os.statvfs(tmp_path)
    assert told.free_bytes == pytest.approx(asked.f_bavail * asked.f_frsize, rel=0.05)
    assert space_of(tmp_path / "missing") is None


def test_pictures_are_kept_in_the_services_folder_else_where_one_stands(tmp_path, monkeypatch):
    assert kept_in({"STATE_DIRECTORY": "/var/lib/midgrey"}) == HERE
    assert kept_in({"STATE_DIRECTORY": "/var/lib/midgrey:/var/lib/other"}) == HERE
    monkeypatch.chdir(tmp_path)
    assert kept_in({}) == tmp_path
    assert kept_in({"STATE_DIRECTORY": "nonsense"}) == tmp_path
