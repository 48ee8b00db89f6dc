"""The install script on a pristine machine: a working appliance, twice the same, nothing left."""

from pathlib import Path

from checks_screen import until_live
from image import Image, source_disk
from machine import Machine, keeping_layer

INSTALL = "bash /mnt/source/systemd/install.sh --trim-boot --wheels /var/lib/wheels"
# Everything on the disk that does not change by itself.
LIST = (
    "find / -xdev ! -path '/var/log/*' ! -path '/tmp/*' ! -path '/var/tmp/*' ! -path '/root/*' "
    "! -path '/var/lib/systemd/*' ! -path '*/__pycache__*' ! -path '/etc/*-' ! -path '/mnt/*' "
    "! -path '/var/cache/*' ! -path '/dev/*' -printf '%p %m %u\\n' | sort"
)


def installs_twice_and_leaves_nothing(image: Image, folder: Path) -> str:
    """Install, install again, boot into it, uninstall; the file list is then what it was."""
    layer = keeping_layer(image, folder / "pristine.qcow2")
    disk = source_disk(folder)
    machine = Machine(image, folder / "pristine", disk=layer, drives=(disk,))
    with machine:
        machine.until_answering()
        before = machine.check(LIST, 120.0)
        machine.check("mkdir -p /mnt/source && mount -o ro /dev/vdb /mnt/source")
        first = machine.check(INSTALL, 1500.0)
        assert "done," in first, first
        second = machine.check(INSTALL, 300.0)
        assert "nothing to change" in second, second
        machine.check("echo MIDGREY_FEED=v4l2:/dev/video10 >> /etc/midgrey/environment; sync")
        machine.check("umount /mnt/source")
    with machine:
        until_live(machine, 240.0, 0.3)
        machine.check("mkdir -p /mnt/source && mount -o ro /dev/vdb /mnt/source")
        kept = machine.check("id midgrey")
        assert all(group in kept for group in ("video", "render", "input", "gpio")), kept
        machine.check("bash /mnt/source/systemd/install.sh --uninstall", 120.0)
        machine.check("umount /mnt/source; rmdir /mnt/source")
        after = machine.check(LIST, 120.0)
    left = sorted(set(after.splitlines()) ^ set(before.splitlines()))
    assert not left, left[:20]
    changes = first.strip().splitlines()[-1].split(": ")[-1]
    return f"first {changes}; second: nothing to change; uninstalled: nothing left"
