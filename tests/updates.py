"""Versions, keys and bundles made for a test: small, and real but for what they hold."""

import shutil
import subprocess
from pathlib import Path

from firmware.errors import UpdateError
from firmware.update.bundling import make_bundle
from firmware.update.installing import ThisUnit
from firmware.update.manifest import Release
from firmware.update.places import LAYOUT, PYTHON_LINKS, SYSTEM_PYTHON, Places
from firmware.update.signature import must_be_signed
from firmware.update.slots import point

MACHINE, PYTHON = "aarch64", "3.13"


def made_key(folder, name="key"):
    """A private key, and a file that trusts it."""
    folder.mkdir(parents=True, exist_ok=True)
    key = folder / name
    words = ["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-C", "release", "-f", str(key)]
    subprocess.run(words, check=True)
    kind, public = key.with_suffix(".pub").read_text().split()[:2]
    signers = folder / f"{name}.signers"
    signers.write_text(f'release namespaces="midgrey-release" {kind} {public}\n')
    return key, signers


def made_version(folder, version, **said):
    """A version's folder: what a real one has, in small."""
    release = Release(
        version,
        said.get("machine", MACHINE),
        said.get("python", PYTHON),
        said.get("layout", LAYOUT),
    )
    place = Path(folder) / version
    site = place / "venv/lib/python3.13/site-packages/firmware"
    for each in (place / "bin", place / "share", place / "venv/bin", site):
        each.mkdir(parents=True)
    (place / "release.toml").write_text(release.text())
    (place / "bin/midgrey").write_text(f"#!/bin/sh\necho {version}\n")
    (place / "bin/midgrey").chmod(0o755)
    (place / "share/README.md").write_text("read me\n" * 200)
    (site / "__init__.py").write_text(f'VERSION = "{version}"\n')
    for link in PYTHON_LINKS:
        (place / link).symlink_to(SYSTEM_PYTHON)
    return place


def made_unit(folder, *versions, signers=None, free=10**10, check=lambda _folder: "", **said):
    """A unit with these versions, the last one started, and the one before it behind it."""
    places = Places(Path(folder))
    places.releases.mkdir(parents=True)
    for version in versions:
        made_version(places.releases, version)
    if versions:
        point(places, places.current, versions[-1])
    if len(versions) > 1:
        point(places, places.previous, versions[-2])

    def verify(name, says, signature):
        if signers is not None:
            must_be_signed(name, says, signature, signers, Path(folder) / "revoked")

    return ThisUnit(
        said.get("machine", MACHINE),
        said.get("python", PYTHON),
        places,
        lambda _folder: free,
        lambda: said.get("forgetful", False),
        verify,
        check,
        Path(folder) / "kernels",
    )


def made_update(folder, version, key, **said):
    """A signed bundle of a version."""
    made = made_version(Path(folder) / "making", version, **said)
    out = Path(folder) / f"{version}.update"
    make_bundle(made, key, out)
    shutil.rmtree(made)
    return out


def all_of(home):
    """Everything below a folder, by name and content: what must be as it was."""
    home = Path(home)
    found: dict[str, object] = {}
    for path in sorted(home.rglob("*")):
        name = str(path.relative_to(home))
        if path.name in {".updating", ".switching"}:
            continue
        if path.is_symlink():
            found[name] = str(path.readlink())
        elif path.is_file():
            found[name] = (path.read_bytes(), path.stat().st_mode)
        else:
            found[name] = ""
    return found


def refusal(do):
    """The sentence of a refusal."""
    try:
        do()
    except UpdateError as fault:
        return str(fault)
    raise AssertionError("it was not refused")
