"""What the wheels of a card are, and what they have conditions for: out of the wheels themselves.

    python -m tests.supply.card_notices ~/.cache/midgrey-card/wheels > hardware/card/NOTICES.md

They are of another processor and of other versions than what is installed here, so nothing of them
is run: what they carry is read from their lists of files. Debian's packages on a card bring their
licences themselves.
"""

import re
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

from hardware.card import wheels
from hardware.card.lock import read_lock
from hardware.card.wheels import Wheel
from tests.places import ROOT
from tests.supply.manifest import UNDER_GPL

LOCK = ROOT / "hardware/card/lock.txt"
NOTICES = ROOT / "hardware/card/NOTICES.md"
_BUILD_NUMBER = re.compile(r"-[0-9a-f]{8}(?=[.\-]|$)|-[0-9]+-[0-9a-f]{8}")
_LIBRARY = re.compile(r"(?:^|/)[^/]+\.libs/(lib[^/]+\.so[^/]*)$")
_COPYLEFT = re.compile(r"\b(A?GPL|LGPL|EPL|MPL)")
_HEAD = """\
# What a card brings besides Debian's and the makers' system

Made by `python -m tests.supply.card_notices FOLDER` of a folder with the wheels of `lock.txt`
(AArch64, Python 3.13); held to that lock by `tests/supply`. midgrey itself is Apache-2.0
(`LICENSE`). Each card has the same list with hashes in `midgrey/manifest.txt`, with Debian's
packages, whose licences lie in `/usr/share/doc/*/copyright`; the wheels' own texts lie beside their
code, in `/opt/midgrey/releases/VERSION/venv/lib/python3.13/site-packages`.

| package | version | licence it declares |
| --- | --- | --- |
"""
_DEBIAN = """\
- **Debian's packages** (pygame, SDL and what they need) and the makers' system have theirs: many
  are LGPL, some GPL. Whoever hands a card on hands on their licences and says where the source is
  to be had."""


def carried(wheel: Wheel) -> tuple[str, ...]:
    """Libraries of others in a wheel."""
    with zipfile.ZipFile(wheel.path) as archive:
        found = [_LIBRARY.search(name) for name in archive.namelist()]
    return tuple(sorted({_BUILD_NUMBER.sub("", each[1]) for each in found if each}))


def lines(chosen: tuple[Wheel, ...]) -> Iterator[str]:
    """The list."""
    yield from _HEAD.splitlines()
    for wheel in chosen:
        yield f"| {wheel.name} | {wheel.version} | {wheel.licence} |"
    yield ""
    yield "## What has conditions for whoever hands it on"
    yield ""
    libraries = {wheel.name: carried(wheel) for wheel in chosen}
    for wheel in chosen:
        if _COPYLEFT.search(wheel.licence):
            yield (
                f"- **{wheel.name} {wheel.version}** is {wheel.licence}: its licence says what to "
                "hand on."
            )
        gpl = [each for each in libraries[wheel.name] if each.startswith(UNDER_GPL)]
        if gpl:
            yield (
                f"- **{wheel.name} {wheel.version}** carries {' and '.join(gpl)}, whose projects "
                "put them under the GPL, version 2 or later (from memory: the wheel holds no text "
                "of theirs): whoever hands a card on does so under the GPL for that part, with an "
                "offer of the source. midgrey encodes with neither."
            )
    yield _DEBIAN
    yield ""
    yield "## Libraries of others that wheels carry"
    yield ""
    for wheel in chosen:
        if libraries[wheel.name]:
            yield f"- **{wheel.name} {wheel.version}**: {', '.join(libraries[wheel.name])}"


def main(folder: str) -> int:
    """Print it."""
    chosen = wheels.choose(read_lock(LOCK), Path(folder))
    sys.stdout.write("\n".join(lines(chosen)) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
