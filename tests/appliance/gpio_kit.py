"""What the simulated GPIO chip takes: the kernel's gpio-sim module, and lgpio for Debian's Python.

Debian's kernel leaves gpio-sim out. It is built from Debian's own source of the same kernel,
together with the interrupt simulator it needs, which is left out as well. lgpio is built from its
source, which brings its C library, since no wheel of it fits Python 3.13.
"""

import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import image

LGPIO = "lgpio==0.2.2.0"
PACKAGES = ["xz-utils", "make", "gcc", "libc6-dev", "swig"]
PACKAGES += ["python3-dev", "python3-pip", "python3-setuptools", "python3-wheel"]
# irq_to_desc() is no symbol that modules may use; what it looks up can be had through one that is.
NOT_FOR_MODULES = "irq_to_desc(irqnum)"
INSTEAD = "irq_data_to_desc(irq_get_irq_data(irqnum))"
KBUILD = """\
obj-m := gpio-sim.o
gpio-sim-y := chip.o irq_sim.o
ccflags-y := -DCONFIG_IRQ_SIM=1
"""


@dataclass(frozen=True)
class Kit:
    """Files to put into the guest."""

    module: Path
    wheel: Path


def built_kit() -> Kit:
    """The kit for the guest's kernel, built where it is not there yet."""
    root = image.debian() / "root"
    kernel = next((root / "lib/modules").iterdir()).name
    folder = image.cache_folder() / f"gpio-{kernel}"
    if not (folder / "complete").exists():
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir()
        _build(folder, kernel)
        (folder / "complete").touch()
    return Kit(folder / "gpio-sim.ko", next(folder.glob("lgpio-*.whl")))


def _build(folder: Path, kernel: str) -> None:
    root = folder / "root"
    series = ".".join(kernel.split(".")[:2])
    packages = [*PACKAGES, f"linux-headers-{kernel}", f"linux-source-{series}"]
    image.call(
        *("mmdebstrap", "--variant=minbase", "--mode=root", f"--include={','.join(packages)}"),
        *("--aptopt=APT::Install-Recommends false", "--dpkgopt=path-exclude=/usr/share/doc/*"),
        *(image.SUITE, str(root)),
    )
    _build_module(root, kernel, series)
    shutil.copy(root / "build/gpio-sim.ko", folder)
    _build_lgpio(root)
    shutil.copy(next((root / "build").glob("lgpio-*.whl")), folder)
    shutil.rmtree(root)


def _build_module(root: Path, kernel: str, series: str) -> None:
    place = root / "build"
    place.mkdir()
    sources = {"drivers/gpio/gpio-sim.c": "chip.c", "kernel/irq/irq_sim.c": "irq_sim.c"}
    wanted = [f"linux-source-{series}/{name}" for name in sources]
    image.call(
        "tar",
        *("-C", str(place), "-xf", str(root / f"usr/src/linux-source-{series}.tar.xz"), *wanted),
    )
    for name, ours in sources.items():
        text = (place / f"linux-source-{series}" / name).read_text()
        (place / ours).write_text(text.replace(NOT_FOR_MODULES, INSTEAD))
    (place / "Kbuild").write_text(KBUILD)
    tree = f"/usr/src/linux-headers-{kernel}"
    image.call("chroot", str(root), "make", "-s", "-C", tree, "M=/build", "modules")


def _build_lgpio(root: Path) -> None:
    # The root has no network; its source comes from outside.
    fetch = ["-m", "pip", "download", "-q", "--no-deps", "--no-binary=:all:", "-d"]
    image.call(sys.executable, *fetch, str(root / "build"), LGPIO)
    source = next((root / "build").glob("lgpio-*.tar.gz")).name
    # PYPI=1 has its C library linked in.
    build = f"cd /build && PYPI=1 pip wheel -q --no-build-isolation --no-deps --no-index {source}"
    done = subprocess.run(
        ["chroot", str(root), "sh", "-c", build], capture_output=True, text=True, check=False
    )
    if done.returncode:
        raise SystemExit(f"lgpio was not built:\n{done.stderr[-2000:]}")
