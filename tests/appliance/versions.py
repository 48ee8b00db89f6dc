"""Versions for the virtual board: good ones, and such as must be given up; signed, in its image.

Their kernels come from those that the installer has compiled: sources and their times are the same,
so numba takes them, under the name that it gives to a folder of sources (its `caching` module: the
folder's own name, then SHA-1 of its path).
"""

import hashlib
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import image

GOOD, BETTER = "9.0.0", "9.5.0"
FAILS, SLEEPS, BLACK = "9.1.0", "9.2.0", "9.3.0"
OLDER, STRANGER, FLIPPED = "0.1.0", "9.8.0", "9.9.0"
FOLDER = "root/bundles"
KERNELS = "var/cache/midgrey/kernels"
RELEASES = "opt/midgrey/releases"
# The emulated board needs a minute to its first picture.
SLOWER = "[Timer]\nOnActiveSec=\nOnUnitActiveSec=\nOnActiveSec=240\nOnUnitActiveSec=240\n"


def _nothing(_version: Path) -> None:
    """A good version."""


def _as_service(words: str) -> Callable[[Path], None]:
    """One that does what it should but where it runs as the unit's service."""

    def change(version: Path) -> None:
        launcher = version / "bin/midgrey"
        text = launcher.read_text().replace(
            "#!/bin/sh\n", f'#!/bin/sh\nif [ "$1" = run ]; then {words}; fi\n', 1
        )
        launcher.write_text(text)

    return change


def _blacken(version: Path) -> None:
    """One that measures, is ready, feeds the watchdog, and paints it all black."""
    (path,) = version.glob("venv/lib/python3*/site-packages/firmware/screen/screen.py")
    text, times = path.read_text(), path.stat()
    seen = "        self._glass.show(self._canvas)\n"
    assert text.count(seen) == 1, path
    path.write_text(text.replace(seen, f"        self._canvas.fill((0, 0, 0))\n{seen}"))
    os.utime(path, ns=(times.st_atime_ns, times.st_mtime_ns))


CHANGES = {
    GOOD: _nothing,
    BETTER: _nothing,
    OLDER: _nothing,
    STRANGER: _nothing,
    FLIPPED: _nothing,
    FAILS: _as_service("exit 1"),
    SLEEPS: _as_service("exec sleep 100000"),
    BLACK: _blacken,
}


def _key(folder: Path, name: str) -> Path:
    key = folder / name
    image.call("ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-C", "release", "-f", str(key))
    return key


def _made(folder: Path, number: str, epoch: int, wheels: Path) -> Path:
    """A version's folder of that number, with sources of that time."""
    environ = {**os.environ, "PYTHON": sys.executable, "SOURCE_DATE_EPOCH": str(epoch)}
    words = [str(image.REPO / "systemd/make-release"), str(folder / "auto"), "--python", "3.13"]
    words += ["--number", number, "--wheels", str(wheels)]
    done = subprocess.run(words, env=environ, capture_output=True, text=True, check=False)
    if done.returncode:
        raise SystemExit(f"make-release failed:\n{done.stderr[-3000:]}")
    version = folder / done.stdout.strip().splitlines()[-1]
    CHANGES[number](version)
    return version


def _bundle(version: Path, key: Path, out: Path) -> None:
    words = [sys.executable, "-m", "firmware.update.bundling", str(version), "--key", str(key)]
    image.call(*words, "--out", str(out), cwd=image.REPO)


def _lend_kernels(root: Path, lender: str, version: str, number: str) -> None:
    """Kernels of the installed version under another's name."""
    there, here = root / KERNELS / lender, root / KERNELS / version
    shutil.copytree(there, here)
    stamp = here / "kernels.made-with"
    stamp.write_text(json.dumps({**json.loads(stamp.read_text()), "midgrey": number}))
    (site,) = (root / RELEASES / lender).glob("venv/lib/python3*/site-packages")
    for folder in [each for each in site.rglob("*") if each.is_dir()]:
        old = f"/{folder.relative_to(root)}"
        new = old.replace(f"/{lender}/", f"/{version}/")
        named = here / f"{folder.name}_{hashlib.sha1(old.encode()).hexdigest()}"
        if named.is_dir():
            named.rename(here / f"{folder.name}_{hashlib.sha1(new.encode()).hexdigest()}")
    owner = there.stat()
    for path in [here, *here.rglob("*")]:
        os.chown(path, owner.st_uid, owner.st_gid)


def build(layer: Path, below: Path) -> None:
    """The app's image with bundles, and a key that it trusts."""
    root = layer / "root"
    image.call("cp", "-a", str(below / "root"), str(root))
    bundles, work = root / FOLDER, layer / "versions"
    bundles.mkdir(parents=True)
    work.mkdir()
    ours, other = _key(work, "ours"), _key(work, "other")
    public = " ".join((work / "ours.pub").read_text().split()[:2])
    trusted = root / "etc/midgrey/allowed_signers"
    trusted.write_text(f'release namespaces="midgrey-release" {public}\n')
    slower = root / "etc/systemd/system/midgrey-trial.timer.d/emulated.conf"
    slower.parent.mkdir(parents=True)
    slower.write_text(SLOWER)
    (lender,) = (each.name for each in (root / RELEASES).iterdir())
    epoch = int((root / RELEASES / lender / "release.toml").stat().st_mtime)
    for number in CHANGES:
        version = _made(work, number, epoch, root / "var/lib/wheels")
        out = bundles / f"{number}.update"
        _bundle(version, other if number == STRANGER else ours, out)
        _lend_kernels(root, lender, version.name, number)
        shutil.rmtree(version)
    flipped = bytearray((bundles / f"{FLIPPED}.update").read_bytes())
    flipped[len(flipped) // 2] ^= 1
    (bundles / f"{FLIPPED}.update").write_bytes(flipped)
    shutil.rmtree(work)
    cuts = root / "root/cuts"
    shutil.copytree(Path(__file__).parent / "guest/cuts", cuts)
    (cuts / "init").chmod(0o755)
    (cuts / "old").write_text(f"{lender}\n")
    shutil.copy(bundles / f"{BETTER}.update", cuts / "new.update")
    shutil.copy(below / "initrd.img", layer / "initrd.img")
    image.make_disk(root, layer)


def with_versions() -> image.Image:
    """The app's image with bundles of versions in /root/bundles."""
    app = image.app()
    below = app.disk.parent
    recipe = below.name.encode() + Path(__file__).read_bytes()
    for name in ("firmware", "overlays", "hardware", "systemd", "tests/appliance/guest/cuts"):
        recipe += image.tree_bytes(image.REPO / name)
    layer = image.kept_layer("versions", recipe, lambda layer: build(layer, below))
    return image.Image(layer / "disk.raw", app.kernel, layer / "initrd.img")
