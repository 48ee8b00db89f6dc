"""Small stand-ins for what a card is made of: an image, wheels and Debian packages, in seconds.

The image is laid out as the board makers' own (RPi-Distro/pi-gen, export-image/prerun.sh): a table
with FAT32 and ext4; its system is a list of packages and a name.
"""

import hashlib
import shutil
import subprocess
import zipfile

import pytest

from hardware.card import debs, ext4, fat, layout
from hardware.card.boot_lines import Input
from hardware.card.layout import MEBI, SECTOR, Partition
from hardware.card.making import TOOLS
from hardware.card.tools import PATH, Tools

EPOCH = 1764201600
TOOLS_THERE = all(shutil.which(name, path=PATH) for name in (*TOOLS, "mkfs.vfat"))
needs_tools = pytest.mark.skipif(
    not TOOLS_THERE, reason="no mtools, dosfstools, e2fsprogs, dpkg or apt here"
)
BOOT = Partition(16384, 40 * MEBI // SECTOR, 0x0C, bootable=True)
ROOT = Partition(BOOT.end, 24 * MEBI // SECTOR, layout.LINUX)
CMDLINE = "console=tty1 root=PARTUUID=6d696467-02 rootwait resize\n"
STATUS = "Package: dpkg\nStatus: install ok installed\nVersion: 1.22\nArchitecture: arm64\n\n"
RELEASE = 'PRETTY_NAME="A system 13"\nVERSION_CODENAME=trixie\n'


def tools(**environ):
    return Tools(EPOCH, environ)


def image(folder, *, release=RELEASE, status=STATUS, cmdline=CMDLINE):
    """The makers' image."""
    run = tools()
    work = folder / "parts"
    shutil.rmtree(work, ignore_errors=True)
    tree, boot = work / "tree", work / "fat"
    for path, text in {
        tree / "etc/os-release": release,
        tree / "etc/hostname": "board\n",
        tree / "usr/lib/os-release": release,
        tree / "var/lib/dpkg/status": status,
        boot / "cmdline.txt": cmdline,
        boot / "config.txt": "camera_auto_detect=1\n",
        boot / "kernel8.img": "no kernel\n",
    }.items():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
    uuid = "6d696467-7265-4000-8000-000000000002"
    ext4.make(work / "root", ROOT.size_bytes, "rootfs", uuid, run, tree=tree)
    fat.make(work / "boot", BOOT.size_bytes, "bootfs", 0x6D696467, run)
    fat.write_tree(work / "boot", boot, run)
    path = folder / "makers.img"
    with path.open("wb") as file:
        file.write(layout.with_entries(layout.fresh_head(0x6D696467), (BOOT, ROOT)))
        for partition, part in ((BOOT, "boot"), (ROOT, "root")):
            file.seek(partition.start_bytes)
            file.write((work / part).read_bytes())
        file.truncate(ROOT.end * SECTOR)
    return path


def wheels(folder):
    """A wheel and the lock that names it."""
    folder.mkdir()
    path = folder / "thing-1-py3-none-any.whl"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("thing/__init__.py", "X = 1\n")
        archive.writestr("thing/a name (with blanks).txt", "words\n")
        archive.writestr("thing-1.dist-info/METADATA", "Name: thing\nLicense: MIT\n")
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    lock = folder.parent / "lock.txt"
    lock.write_text(f"thing==1 --hash=sha256:{digest}\n")
    return lock


def deb(folder, name, *, architecture="arm64", depends="", version="1"):
    """A Debian package with nothing in it."""
    tree = folder / f"tree-{name}"
    (tree / "DEBIAN").mkdir(parents=True, exist_ok=True)
    control = f"Package: {name}\nVersion: {version}\nArchitecture: {architecture}\n"
    control += f"Depends: {depends}\n" if depends else ""
    (tree / "DEBIAN/control").write_text(control + "Maintainer: none\nDescription: none\n")
    path = folder / f"{name}_{version}_{architecture}.deb"
    subprocess.run(
        ["dpkg-deb", "--root-owner-group", "-b", tree, path], check=True, capture_output=True
    )
    shutil.rmtree(tree)
    return path


def packages(folder, chosen=Input.BRIDGE):
    """All that is wanted, as files."""
    folder.mkdir()
    for name in debs.wanted(chosen):
        deb(folder, name)
    return folder
