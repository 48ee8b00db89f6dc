"""What a card is made of besides the makers' system: looked at, fetched where wanted, checked."""

import tempfile
from collections.abc import Callable
from pathlib import Path

from hardware.card import debs, ext4, lock, wheels
from hardware.card.debs import Package, Sources
from hardware.card.errors import ImageError, WheelError
from hardware.card.order import Order
from hardware.card.tools import Tools
from hardware.card.wheels import Wheel

RELEASE = "trixie"


def ingredients(
    order: Order, root: Path, tools: Tools, say: Callable[[str], None]
) -> tuple[tuple[Wheel, ...], tuple[Package, ...]]:
    """Wheels and Debian packages for the system on a root.

    Raises
    ------
    CardError
        The system is another, or something is missing or wrong.
    """
    status = system_of(root, tools)
    names = debs.wanted(order.chosen)
    if order.fetch and not any(order.debs.glob("*.deb")):
        say("fetching Debian packages")
        with tempfile.TemporaryDirectory() as keys:
            debs.fetch(names, sources_of(root, status, Path(keys), tools), order.debs, tools)
    chosen = wheels_of(order.lock_file, order.wheels, tools, say, fetch=order.fetch)
    packages = debs.read_folder(order.debs, tools)
    debs.check_complete(names, packages, status, tools)
    return chosen, packages


def wheels_of(
    lock_file: Path, folder: Path, tools: Tools, say: Callable[[str], None], *, fetch: bool
) -> tuple[Wheel, ...]:
    """The wheel of each entry of a lock, downloaded into the folder where that is wanted.

    Raises
    ------
    CardError
        One is missing or is not what was locked, or the lock cannot be read.
    """
    locked = lock.read_lock(lock_file)
    try:
        return wheels.choose(locked, folder)
    except WheelError:
        # The folder is empty, or is of an older lock.
        if not fetch:
            raise
    say("fetching wheels")
    wheels.fetch(lock_file, folder, tools)
    return wheels.choose(locked, folder)


def system_of(root: Path, tools: Tools) -> str:
    """The root's own list of packages, once it is sure that it is one to build on.

    Raises
    ------
    ImageError
        It is another release, for another processor, or no system at all.
    """
    said = ext4.read(root, "/etc/os-release", tools) or ""
    if not said.strip():  # a link, as it usually is, which is not followed
        said = ext4.read(root, "/usr/lib/os-release", tools) or ""
    status = ext4.read(root, "/var/lib/dpkg/status", tools) or ""
    if f"VERSION_CODENAME={RELEASE}" not in said or "Package: dpkg\n" not in status:
        named = [line[12:] for line in said.splitlines() if line.startswith("PRETTY_NAME=")]
        raise ImageError(
            f"the image holds {named[0] if named else 'no system that is known'}; release "
            f"{RELEASE} is what midgrey runs on: download that one"
        )
    if f"\nArchitecture: {debs.ARCHITECTURE}\n" not in status:
        raise ImageError("the image is for 32 bits: download the one for 64 bits (arm64)")
    return status


def sources_of(root: Path, status: str, place: Path, tools: Tools) -> Sources:
    """The archives that a root names, with their keys, which are taken into a folder.

    Raises
    ------
    ImageError
        It names none.
    """
    (place / "usr/share").mkdir(parents=True)
    (place / "etc").mkdir()
    ext4.take(root, "/usr/share/keyrings", place / "usr/share", tools)
    ext4.take(root, "/etc/apt", place / "etc", tools)
    apt = place / "etc/apt"
    files = [apt / "sources.list", *sorted((apt / "sources.list.d").glob("*"))]
    lists = {path.name: path.read_text("utf-8") for path in files if path.is_file()}
    if "sources.list" in lists:  # among the others, names have endings
        lists["image.list"] = lists.pop("sources.list")
    if not any(text.strip() for text in lists.values()):
        raise ImageError(
            "the image names no archive to fetch Debian packages from: name a folder that holds "
            "them with --debs"
        )
    return Sources(status, lists, place)
