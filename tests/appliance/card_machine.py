"""A card that was made for a board, in an emulated one: 64-bit ARM, a Cortex-A72, no network.

Plain emulation of another processor: boots take minutes. Nothing on the card is changed for it but
what answers the tests, which is written into a copy of the image as any file would be.
"""

import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from image import HERE, REPO, Image
from machine import Machine

sys.path.insert(0, str(REPO))

from hardware.card import ext4, fat, layout
from hardware.card.tools import Tools

EPOCH = 1764201600
BLOCK = 1 << 20
BOOT_S = 900.0
SIZE = "16G"
"""Of the card that the image is written to."""

SETTINGS = "MIDGREY_FEED=v4l2:/dev/video10\nMIDGREY_PATIENCE_S=8\n"
LOOSER = """\
[Service]
WatchdogSec=120
TimeoutStartSec=1800
TimeoutStopSec=120
"""
"""The emulated board shows a frame every few seconds: that is slow, not frozen."""
AGENT = "etc/systemd/system/agent.service"
CUTS = "usr/local/lib/agent/first-boot"
"""What starts in the place of init where nothing but the first boot is to run."""


def tools() -> Tools:
    """What reads and writes images."""
    return Tools(EPOCH)


def parts(card: Path) -> tuple[layout.Partition, ...]:
    """Where a card's partitions lie."""
    with card.open("rb") as file:
        return layout.read_table(file.read(512), card.stat().st_size, str(card))


def prepared(card: Path, folder: Path) -> Image:
    """A copy of a card with the tests' agent on it, and what its boot partition starts.

    Parameters
    ----------
    card:
        As `hardware/card/build` made it.
    folder:
        Where the copy is kept.
    """
    copy = folder / "card.img"
    subprocess.run(["cp", "--sparse=always", str(card), str(copy)], check=True)
    boot, root, _ = parts(copy)
    tree = folder / "tree"
    shutil.copytree(HERE / "guest/root", tree, symlinks=True)
    (tree / "etc/fstab").unlink()
    for name, text in {
        "etc/midgrey/environment": SETTINGS,
        "etc/systemd/system/midgrey.service.d/90-emulated.conf": LOOSER,
        "etc/systemd/system/var-lib-midgrey.mount.d/90-emulated.conf": (
            "[Unit]\nJobTimeoutSec=600\n"
        ),
        # The board's own watchdog is not there, and the emulation is slow to answer one; on a busy
        # machine it finds its disk's partitions later than any board.
        "etc/systemd/system.conf.d/90-emulated.conf": (
            "[Manager]\nRuntimeWatchdogSec=off\nDefaultDeviceTimeoutSec=600\n"
        ),
    }.items():
        (tree / name).parent.mkdir(parents=True, exist_ok=True)
        (tree / name).write_text(text)
    shutil.copyfile(HERE / "guest/cuts/first-boot", tree / CUTS)
    (tree / CUTS).chmod(0o755)
    wants = tree / "etc/systemd/system/multi-user.target.wants/agent.service"
    wants.parent.mkdir(parents=True, exist_ok=True)
    wants.symlink_to("../agent.service")
    ext4.write_tree(Path(f"{copy}?offset={root.start_bytes}"), tree, tools())
    shutil.rmtree(tree)
    first = f"{copy}@@{boot.start_bytes}"
    for name in ("vmlinuz", "initrd.img"):
        listed = subprocess.run(
            ["mdir", "-b", "-i", first, f"::/{name}-*"], check=True, capture_output=True, text=True
        ).stdout.split()
        subprocess.run(["mcopy", "-o", "-i", first, listed[0], str(folder / name)], check=True)
    return Image(copy, folder / "vmlinuz", folder / "initrd.img")


def options_of(card: Path) -> str:
    """The kernel's options as the card's boot partition has them now."""
    boot = parts(card)[0]
    said = fat.read(Path(f"{card}@@{boot.start_bytes}"), "/cmdline.txt", tools())
    return (said or "").strip()


def options_on(layer: Path, below: Path) -> str:
    """The kernel's options as they lie on a card that was written to, as the board would read them.

    Parameters
    ----------
    layer:
        The card's layer; no machine has it.
    below:
        The image that it lies over, which has the same partitions.
    """
    boot = parts(below)[0]
    with tempfile.TemporaryDirectory(dir=layer.parent) as made:
        plain = Path(made) / "plain"
        # No more than up to the end of the first partition.
        blocks = -(-(boot.start_bytes + boot.size_bytes) // BLOCK)
        words = [f"bs={BLOCK}", f"count={blocks}", f"if={layer}", f"of={plain}"]
        subprocess.run(["qemu-img", "dd", "-f", "qcow2", "-O", "raw", *words], check=True)
        said = fat.read(Path(f"{plain}@@{boot.start_bytes}"), "/cmdline.txt", tools())
    return (said or "").strip()


def fresh_card(image: Image, path: Path) -> Path:
    """A writable layer over the image, of a larger card, for what must survive a power cut."""
    path.unlink(missing_ok=True)
    command = ["qemu-img", "create", "-q", "-f", "qcow2", "-b", str(image.disk), "-F", "raw"]
    subprocess.run([*command, str(path), SIZE], check=True)
    return path


@dataclass
class CardMachine(Machine):
    """An emulated board of another processor, with a card and a screen and nothing else."""

    words: str = ""
    """The kernel's options, as the card has them."""
    kept: bool = True
    """Whether what is written has to survive a cut; without that it is quicker."""

    def _command(self) -> list[str]:
        command = ["nice", "-n", "5", "qemu-system-aarch64", "-M", "virt", "-cpu", "cortex-a72"]
        command += ["-m", "1536", "-smp", "2", "-nodefaults", "-no-reboot", "-display", "none"]
        command += ["-kernel", str(self.image.kernel), "-initrd", str(self.image.initrd)]
        command += ["-append", f"{self.words} console=ttyAMA0 {self.options}".strip()]
        cache = "writeback" if self.kept else "unsafe"
        command += ["-drive", f"if=none,id=card,format=qcow2,cache={cache},file={self.disk}"]
        command += ["-device", "virtio-blk-pci,drive=card"]
        command += ["-device", "virtio-gpu-pci,xres=1280,yres=720", "-device", "virtio-rng-pci"]
        command += ["-qmp", f"unix:{self.folder}/monitor,server=on,wait=off"]
        command += ["-serial", f"file:{self.folder}/serial.log", "-device", "virtio-serial-pci"]
        command += ["-chardev", f"socket,id=agent,path={self.folder}/agent,server=on,wait=off"]
        command += ["-device", "virtserialport,chardev=agent,name=agent", "-nic", "none"]
        return command
