"""The guest's disk with a camera: the app's layer, the real picamera2 and libcamera, no sensor.

libcamera's virtual pipeline is in Debian's backports, picamera2 on PyPI alone. Packages are taken
by the host, for the guest's own list of packages.
"""

import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

from image import HERE, SUITE, Image, _chroot, app, call, kept_layer, make_disk, tree_bytes

PACKAGES = ("python3-libcamera", "libcamera-ipa", "python3-prctl", "python3-piexif", "python3-pil")
WHEELS = ("picamera2==0.3.38", "simplejpeg==1.9.0", "videodev2==0.0.4")
"""Without what they require: the rest is for cameras with a processor of their own."""
GIVEN = HERE / "guest/camera"
SITE = "usr/lib/python3/dist-packages"
PIPELINE = "usr/share/libcamera/pipeline/virtual"


def _packages(root: Path, folder: Path) -> None:
    """Fetch them into a folder, resolved against what the guest has."""
    for name in ("lists/partial", "archives/partial"):
        (folder / name).mkdir(parents=True)
    keys = folder / "keys.gpg"
    keys.write_bytes(
        b"".join(
            subprocess.run(
                ["gpg", "--dearmor"], input=key.read_bytes(), capture_output=True, check=True
            ).stdout
            for key in sorted((root / "etc/apt/trusted.gpg.d").glob(f"*-{SUITE}-*.asc"))
        )
    )
    place = f"deb [signed-by={keys}] http://deb.debian.org/debian"
    (folder / "sources.list").write_text(f"{place} {SUITE} main\n{place} {SUITE}-backports main\n")
    settings = {
        "Dir::State::status": root / "var/lib/dpkg/status",
        "Dir::Etc::sourcelist": folder / "sources.list",
        "Dir::Etc::sourceparts": "/dev/null",
        "Dir::State::lists": folder / "lists",
        "Dir::Cache::archives": folder / "archives",
        "Dir::Cache::pkgcache": "",
        "Dir::Cache::srcpkgcache": "",
        "APT::Install-Recommends": "false",
        "APT::Sandbox::User": "root",
        "Debug::NoLocking": "1",
    }
    words = [word for key, value in settings.items() for word in ("-o", f"{key}={value}")]
    call("apt-get", *words, "update")
    call(
        *("apt-get", *words, "-t", f"{SUITE}-backports", "-y", "--download-only", "install"),
        *PACKAGES,
    )


def _build(layer: Path, below: Path) -> None:
    root = layer / "root"
    call("cp", "-a", str(below / "root"), str(root))
    work, debs = layer / "work", root / "var/tmp/debs"
    _packages(root, work)
    shutil.copytree(work / "archives", debs, ignore=shutil.ignore_patterns("partial", "lock"))
    call("mount", "-t", "proc", "proc", str(root / "proc"))
    try:
        _chroot(root, "sh", "-c", "dpkg --install --force-confold /var/tmp/debs/*.deb")
        site = root / SITE
        call(
            *(sys.executable, "-m", "pip", "download", "-q", "--no-deps", "-d", str(work)),
            *("--only-binary=:all:", "--python-version", "313", "--implementation", "cp"),
            *("--platform", "manylinux2014_x86_64", "--platform", "manylinux_2_28_x86_64"),
            *("--platform", "any", *WHEELS),
        )
        for wheel in work.glob("*.whl"):
            zipfile.ZipFile(wheel).extractall(site)
        for each in ("pykms.py", "virtual_camera.py"):
            shutil.copy(GIVEN / each, site)
        (site / "pidng").mkdir()
        (site / "pidng/__init__.py").touch()
        for each in ("camdefs", "core"):
            shutil.copy(GIVEN / f"pidng_{each}.py", site / f"pidng/{each}.py")
        with (site / "picamera2/__init__.py").open("a") as file:
            file.write("\nimport virtual_camera  # of the virtual board\n")
        (root / PIPELINE).mkdir(parents=True, exist_ok=True)
        shutil.copy(GIVEN / "virtual.yaml", root / PIPELINE)
        for each in ("truth.py", "codes.py"):
            shutil.copy(GIVEN / each, root / "var/tmp")
        _chroot(root, "python3", "/var/tmp/truth.py", "/var/lib/camera")
    finally:
        call("umount", str(root / "proc"))
    shutil.rmtree(debs)
    shutil.rmtree(work)
    make_disk(root, layer)


def camera() -> Image:
    """Debian with midgrey, picamera2 and a camera that is none."""
    below = app()
    layer_below = below.disk.parent
    recipe = Path(__file__).read_bytes() + tree_bytes(GIVEN) + layer_below.name.encode()
    layer = kept_layer("camera", recipe, lambda layer: _build(layer, layer_below))
    return Image(layer / "disk.raw", below.kernel, below.initrd)
