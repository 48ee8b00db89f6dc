"""An image laid out as the makers' own, of Debian's arm64 packages of the same release: for tests.

It boots in an emulator, and has Debian's kernel, which knows no bridge and no camera connector: no
card for a unit. Made as root, with programs of the board's processor emulated (minutes).
"""

import shutil
import tempfile
from pathlib import Path

from hardware.card import ext4, fat, layout, sparse
from hardware.card.layout import MEBI, SECTOR, Partition
from hardware.card.tools import Tools, need

HERE = Path(__file__).resolve().parent
IDENTITY = 0x6D696467
"""Of the disk, by which the root is named."""
UUID = "6d696467-7265-4000-8000-000000000001"
BOOT_BYTES, ROOT_BYTES, START = 512 * MEBI, 1792 * MEBI, 8 * MEBI
"""The first and its start as the makers' (RPi-Distro/pi-gen, export-image/prerun.sh)."""

PACKAGES = (
    *("systemd-sysv", "udev", "dbus", "kmod", "procps", "e2fsprogs", "dosfstools", "fdisk", "zstd"),
    *("linux-image-arm64", "initramfs-tools", "raspi-firmware"),
    *("python3", "python3-venv", "openssh-client", "v4l-utils", "ca-certificates"),
)
"""About what the makers' image without a desktop brings, as far as it concerns midgrey."""
MODULES = ("virtio_pci", "virtio_blk", "ext4", "sdhci_iproc", "bcm2835", "mmc_block")
STUBBED = ("/usr/sbin/update-initramfs", "/usr/bin/py3compile")
"""What takes minutes under emulation each time a package asks for it; done once at the end."""
_TABS = f"""\
PARTUUID={IDENTITY:08x}-02  /               ext4  defaults,noatime  0  1
PARTUUID={IDENTITY:08x}-01  /boot/firmware  vfat  defaults          0  2
"""
_CMDLINE = (
    f"console=tty1 root=PARTUUID={IDENTITY:08x}-02 rootfstype=ext4 fsck.repair=yes rootwait\n"
)


def _stub() -> str:
    diverted = 'dpkg-divert --root "$1" --local --no-rename --divert "$f.real" --add "$f"'
    return f'for f in {" ".join(STUBBED)}; do {diverted}; ln -sf /bin/true "$1$f"; done'


def _unstub() -> str:
    back = 'dpkg-divert --root "$1" --local --no-rename --remove "$f"'
    return f'for f in {" ".join(STUBBED)}; do mv "$1$f.real" "$1$f"; {back}; done'


def make_root(root: Path, tools: Tools) -> None:
    """Make the tree; as root."""
    need(("mmdebstrap", "qemu-aarch64-static", "unshare"))
    modules = " ".join(MODULES)
    initramfs = '"$1/etc/initramfs-tools'
    tools.run(
        *(str(HERE / "with-arm64"), "mmdebstrap", "--arch=arm64", "--variant=minbase"),
        *("--mode=root", "--components=main,non-free-firmware", f"--include={','.join(PACKAGES)}"),
        '--aptopt=APT::Install-Recommends "false"',
        *("--dpkgopt=path-exclude=/usr/share/man/*", "--dpkgopt=path-exclude=/usr/share/locale/*"),
        *("--dpkgopt=path-exclude=/usr/share/doc/*", "--dpkgopt=path-include=*/copyright"),
        f"--essential-hook={_stub()}",
        f"--customize-hook={_unstub()}",
        f'--customize-hook=sed -i s/MODULES=most/MODULES=list/ {initramfs}/initramfs.conf"',
        f"--customize-hook=printf '%s\\n' {modules} > {initramfs}/modules\"",
        '--customize-hook=chroot "$1" update-initramfs -c -k all',
        '--customize-hook=echo board > "$1/etc/hostname"; : > "$1/etc/machine-id"',
        *("trixie", str(root)),
    )
    (root / "etc/fstab").write_text(_TABS)


def make_image(root: Path, into: Path, tools: Tools) -> None:
    """Make an image of a tree; as root, or its files would not belong to root."""
    need(("mke2fs", "mkfs.vfat", "mcopy"))
    boot = Partition(START // SECTOR, BOOT_BYTES // SECTOR, layout.FAT32[1], bootable=True)
    rest = Partition(boot.end, ROOT_BYTES // SECTOR, layout.LINUX)
    with tempfile.TemporaryDirectory(dir=into.parent) as made:
        folder = Path(made)
        fat_file, ext4_file, apart = folder / "boot", folder / "root", folder / "firmware"
        shutil.copytree(root / "boot/firmware", apart)
        (apart / "cmdline.txt").write_text(_CMDLINE)
        fat.make(fat_file, BOOT_BYTES, "bootfs", IDENTITY, tools)
        fat.write_tree(fat_file, apart, tools)
        # The kernel mounts the other partition there; what lies below is seen by nobody.
        ext4.make(ext4_file, ROOT_BYTES, "rootfs", UUID, tools, tree=root)
        head = layout.fresh_head(IDENTITY)
        with sparse.whole_or_nothing(into) as image:
            image.write(layout.with_entries(head, (boot, rest)))
            for partition, file in ((boot, fat_file), (rest, ext4_file)):
                sparse.lay(file, image, partition.start_bytes)
            image.truncate(rest.end * SECTOR)
