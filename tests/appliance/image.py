"""The guest's disk: a Debian trixie root file system in layers, each kept until its recipe changes.

Layers, in a cache folder outside the repository:

* ``base-<hash>/``: Debian alone, as it would be on a fresh board, with a kernel and a small
  initramfs. Rebuilt when the package list or this file changes. ``alone-<hash>/``: its disk.
* ``app-<hash>/``: base plus midgrey, put there by ``systemd/install.sh`` itself, run in a chroot
  (native speed). Rebuilt when the code changes.

Each holds ``root/`` (the tree), ``disk.raw``, which the base has in a folder of its own, and
``initrd.img``; the base ``vmlinuz`` too.
"""

import fcntl
import hashlib
import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).resolve().parent
REPO = HERE.parents[1]
SUITE = "trixie"
DISK_MEGABYTES = 3000

# What Raspberry Pi OS Lite brings by itself, and the guest therefore has before midgrey.
BASE = [
    "systemd-sysv",
    "udev",
    "dbus",
    "kmod",
    "procps",
    "e2fsprogs",
    "zstd",
    "linux-image-amd64",
    "initramfs-tools",
    "python3",
    "python3-venv",
    "python3-pip",
    "ca-certificates",
]
# What systemd/install.sh would fetch with apt. The guest has no network, so they come first;
# install.sh finds them there and says so.
WANTED = [
    "python3-numpy",
    "python3-numba",
    "python3-av",
    "python3-pygame",
    "python3-pydantic",
    "python3-rich",
    "python3-typer",
    "python3-starlette",
    "python3-uvicorn",
    "python3-websockets",
    "v4l-utils",
    "openssh-client",
    "libgbm1",
    "libegl1",
    "libegl-mesa0",
    "libgles2",
    "libgl1-mesa-dri",
]
# What install.sh --kit would fetch besides, and what systemd/README.md makes a kit's broker of.
KIT = ["python3-paho-mqtt", "mosquitto", "openssl"]
# A network of the guest's own: on a board NetworkManager makes one.
NETWORK = ["iproute2"]
# What Debian's archive lacks or has too old for midgrey (gpiozero is 1.6.2 there), the typeface,
# and what pip needs to build midgrey itself without a network.
LOCKS = tuple(HERE.parents[1] / f"systemd/locks/{name}.txt" for name in ("gpio", "type", "build"))
MODULES = ["virtio_pci", "virtio_blk", "ext4", "overlay"]
PACKAGES = BASE + WANTED + KIT + NETWORK
MASKED = [
    "mosquitto.service",
    "apt-daily.timer",
    "apt-daily-upgrade.timer",
    "dpkg-db-backup.timer",
    "e2scrub_all.timer",
    "e2scrub_reap.service",
    "fstrim.timer",
    "getty@tty1.service",
    "serial-getty@ttyS0.service",
    "modprobe@efi_pstore.service",
    "systemd-pstore.service",
    "systemd-hostnamed.socket",
    # Places where nothing of midgrey looks: each is a process or two of a boot, and a boot has some
    # thirty of them to start on an emulated processor.
    "dev-hugepages.mount",
    "dev-mqueue.mount",
    "modprobe@configfs.service",
    "modprobe@fuse.service",
    "proc-sys-fs-binfmt_misc.automount",
    "sys-fs-fuse-connections.mount",
    "sys-kernel-config.mount",
    "sys-kernel-debug.mount",
    "sys-kernel-tracing.mount",
    "systemd-binfmt.service",
]
TOOLS = {
    "qemu-system-x86_64": "qemu-system-x86",
    "qemu-img": "qemu-utils",
    "mmdebstrap": "mmdebstrap",
    "mke2fs": "e2fsprogs",
}


@dataclass(frozen=True)
class Image:
    """What it takes to boot a guest."""

    disk: Path
    kernel: Path
    initrd: Path


def cache_folder() -> Path:
    """Where layers are kept between runs."""
    root = os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    folder = Path(root) / "midgrey-appliance"
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def call(*command: str, **settings: object) -> None:
    """Run a command at low priority; on failure show the end of what it said."""
    done = subprocess.run(
        ["nice", "-n", "10", *command],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        check=False,
        text=True,
        **settings,
    )
    if done.returncode:
        raise SystemExit(f"{' '.join(command)} failed:\n{done.stdout[-3000:]}")


def need_tools() -> None:
    """Install what the host lacks, or say what to install."""
    missing = sorted({package for tool, package in TOOLS.items() if not shutil.which(tool)})
    if not missing:
        return
    if os.geteuid():
        raise SystemExit(f"missing: apt install --no-install-recommends {' '.join(missing)}")
    try:
        call("apt-get", "install", "-y", "--no-install-recommends", *missing)
    except SystemExit:
        call("apt-get", "update")
        call("apt-get", "install", "-y", "--no-install-recommends", *missing)


def _digest(*parts: bytes) -> str:
    total = hashlib.sha256()
    for part in parts:
        total.update(len(part).to_bytes(8, "big") + part)
    return total.hexdigest()[:12]


def tree_bytes(*folders: Path) -> bytes:
    """Names and contents of what the guest is given, for the layer's hash."""
    total = hashlib.sha256()
    for folder in folders:
        for path in sorted(folder.rglob("*")) if folder.is_dir() else [folder]:
            if path.is_file() and "__pycache__" not in path.parts:
                # Named from the folder on, so that another clone finds the same layer.
                name = f"{folder.name}/{path.relative_to(folder)}"
                total.update(name.encode() + path.read_bytes())
    return total.digest()


def _forget_older(kind: str, keep: Path) -> None:
    for path in keep.parent.glob(f"{kind}-*"):
        if path != keep:
            _clear_away(path)


def _chroot(root: Path, *command: str) -> None:
    """Run a command inside the tree, with the host's kernel and a clean environment."""
    path = "/usr/sbin:/usr/bin:/sbin:/bin"
    call("chroot", str(root), "env", "-i", f"PATH={path}", "LC_ALL=C.UTF-8", "HOME=/root", *command)


def _fetch_wheels(into: Path) -> None:
    """Wheels for the guest's Python, fetched by the host: the chroot has no network."""
    call(
        *(sys.executable, "-m", "pip", "download", "-q", "-d", str(into), "--only-binary=:all:"),
        *("--python-version", "313", "--implementation", "cp", "--abi", "cp313", "--abi", "none"),
        *("--platform", "any", "--require-hashes"),
        *(word for lock in LOCKS for word in ("-r", str(lock))),
    )


def make_disk(root: Path, layer: Path) -> None:
    """A disk with what is in a tree, in a layer's folder."""
    disk = layer / "disk.raw"
    disk.unlink(missing_ok=True)
    with disk.open("wb") as file:
        file.truncate(DISK_MEGABYTES * 1024 * 1024)
    call("mke2fs", "-q", "-t", "ext4", "-L", "root", "-d", str(root), str(disk))


def _build_base(layer: Path) -> None:
    root = layer / "root"
    call(
        # Packages that have to do with the kernel would make an initramfs, twice; ours is below.
        *("env", "INITRD=No"),
        *("mmdebstrap", "--variant=minbase", "--mode=root", f"--include={','.join(PACKAGES)}"),
        *("--aptopt=APT::Install-Recommends false", "--dpkgopt=path-exclude=/usr/share/doc/*"),
        *("--dpkgopt=path-exclude=/usr/share/man/*", "--dpkgopt=path-exclude=/usr/share/locale/*"),
        *(SUITE, str(root)),
    )
    _fetch_wheels(root / "var/lib/wheels")
    shutil.copytree(HERE / "guest/root", root, dirs_exist_ok=True, symlinks=True)
    settings = root / "etc/initramfs-tools"
    conf = settings / "initramfs.conf"
    conf.write_text(conf.read_text().replace("MODULES=most", "MODULES=list"))
    (settings / "modules").write_text("\n".join(MODULES) + "\n")
    call("mount", "-t", "proc", "proc", str(root / "proc"))
    try:
        _chroot(root, "update-initramfs", "-c", "-k", "all")
        _chroot(root, "systemctl", "mask", *MASKED)
        _chroot(root, "systemctl", "enable", "agent.service")
    finally:
        call("umount", str(root / "proc"))
    for place in ("etc", "var"):  # or each first boot does over what packages did just now
        (root / place / ".updated").touch()
    (root / "etc/machine-id").write_text("")
    (root / "etc/hostname").write_text("guest\n")
    shutil.copy(next((root / "boot").glob("vmlinuz-*")), layer / "vmlinuz")
    shutil.copy(next((root / "boot").glob("initrd.img-*")), layer / "initrd.img")


def _clear_away(layer: Path) -> None:
    """Remove a layer. What a build that was killed left mounted in it is the host's: /dev too."""
    mounts = Path("/proc/self/mounts").read_text().splitlines()
    places = [line.split()[1].replace(r"\040", " ") for line in mounts]
    for place in sorted((each for each in places if each.startswith(f"{layer}/")), reverse=True):
        call("umount", place)
    shutil.rmtree(layer, ignore_errors=True)


def kept_layer(kind: str, recipe: bytes, build) -> Path:
    """The layer of that recipe, built if it is not there; a half-built one never counts."""
    layer = cache_folder() / f"{kind}-{_digest(recipe)}"
    with (cache_folder() / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)  # two runs at once would build in the same place
        if not (layer / "complete").exists():
            _clear_away(layer)
            layer.mkdir()
            build(layer)
            (layer / "complete").touch()
        _forget_older(kind, layer)
    return layer


def debian() -> Path:
    """The layer of Debian alone, with the test agent; it has no disk yet."""
    need_tools()
    recipe = Path(__file__).read_bytes() + tree_bytes(HERE / "guest/root")
    return kept_layer("base", recipe, _build_base)


def base() -> Image:
    """Debian alone, on a disk: few checks want it without midgrey."""
    layer = debian()
    disk = kept_layer("alone", layer.name.encode(), lambda at: make_disk(layer / "root", at))
    return Image(disk / "disk.raw", layer / "vmlinuz", layer / "initrd.img")


# The emulated processor is not the host's, and numba keeps kernels by processor. Both sides are
# told to speak of the same plain one, so that kernels compiled in the chroot serve in the guest.
PLAIN_PROCESSOR = "NUMBA_CPU_NAME=x86-64-v2\nNUMBA_CPU_FEATURES=\n"
LIVE_FEED = "MIDGREY_FEED=v4l2:/dev/video10\n"
# The emulated board shows a frame every few seconds: that is slow, not frozen.
PATIENT = "MIDGREY_PATIENCE_S=8\n"
# Nor does a frame come out within ten seconds each time, on a host that is slow itself.
LOOSER = "[Service]\nWatchdogSec=30\n"


def _copy_source(into: Path) -> None:
    """What a person has who fetched the project."""
    into.mkdir(parents=True)
    for name in ("firmware", "overlays", "systemd", "hardware"):
        shutil.copytree(REPO / name, into / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md", "DEVELOPERS.md", "LICENSE"):
        shutil.copy(REPO / name, into / name)


def source_disk(folder: Path) -> Path:
    """A read-only disk with the project's source."""
    inside, disk = folder / "source", folder / "source.raw"
    shutil.rmtree(inside, ignore_errors=True)
    _copy_source(inside)
    with disk.open("wb") as file:
        file.truncate(64 << 20)
    call("mke2fs", "-q", "-t", "ext4", "-d", str(inside), str(disk))
    shutil.rmtree(inside)
    return disk


def _build_app(layer: Path, below: Path) -> None:
    root = layer / "root"
    call("cp", "-a", str(below / "root"), str(root))
    _copy_source(root / "usr/local/src/midgrey")
    (root / "etc/midgrey").mkdir()
    (root / "etc/midgrey/environment").write_text(PLAIN_PROCESSOR + LIVE_FEED + PATIENT)
    looser = root / "etc/systemd/system/midgrey.service.d/emulated.conf"
    looser.parent.mkdir(parents=True)
    looser.write_text(LOOSER)
    install = "/usr/local/src/midgrey/systemd/install.sh"
    with_proc = [("proc", "proc", root / "proc"), ("devtmpfs", "udev", root / "dev")]
    for kind, name, place in with_proc:
        call("mount", "-t", kind, name, str(place))
    try:
        _chroot(
            root, install, "--no-start", "--read-only", "--trim-boot", "--wheels", "/var/lib/wheels"
        )
    finally:
        for _, _, place in reversed(with_proc):
            call("umount", str(place))
    shutil.copy(next((root / "boot").glob("initrd.img-*")), layer / "initrd.img")
    make_disk(root, layer)


def app() -> Image:
    """Debian with midgrey installed by its own script."""
    below = debian()
    parts = (REPO / "firmware", REPO / "overlays", REPO / "systemd", REPO / "pyproject.toml")
    recipe = below.name.encode() + tree_bytes(*parts)
    layer = kept_layer("app", recipe, lambda layer: _build_app(layer, below))
    return Image(layer / "disk.raw", below / "vmlinuz", layer / "initrd.img")
