"""Inside the guest: a bundle brought, taken and started by the unit's own code, each step told.

The steps stand on the serial line, so that whoever cuts the power knows in which it went. Kernels
are given a minute here and not half an hour: they were lent to this version, and what is missing is
no reason to refuse it.
"""

import asyncio
import subprocess
import sys
from collections.abc import AsyncIterator, Callable
from dataclasses import replace
from pathlib import Path

from firmware.commands.update import this_unit
from firmware.page.versions import PIECE, keep_version
from firmware.update import installing, slots
from firmware.update.checking import own_check, start_as_user

KERNELS_S = 60.0
BROUGHT = Path("/var/lib/midgrey/brought")


def tell(step: str) -> None:
    """A line for whoever watches from outside."""
    with Path("/dev/ttyS0").open("w") as line:
        line.write(f"\nSTEP {step}\n")


def told(step: str, call: Callable) -> Callable:
    """A function that tells of its step first."""

    def inner(*words: object, **named: object) -> object:
        tell(step)
        return call(*words, **named)

    return inner


def told_point(call: Callable) -> Callable:
    """The change of a link, told by its name."""

    def inner(places: object, link: Path, version: str) -> None:
        tell(f"before the link {link.name}")
        call(places, link, version)
        tell(f"after the link {link.name}")

    return inner


def check(folder: Path) -> str:
    """The version's own check."""
    tell("its own check")
    shorter = lambda words, environ, longest_s: start_as_user(  # noqa: E731
        words, environ, KERNELS_S if "firmware.live.warm" in words else longest_s
    )
    return own_check(folder, shorter)


def told_settle(call: Callable) -> Callable:
    """Folders that are brought to the card: the one of versions is told."""

    def inner(folder: Path) -> None:
        if folder.name == "releases":
            tell("it has its name")
        call(folder)

    return inner


async def pieces(bundle: Path) -> AsyncIterator[bytes]:
    """A bundle as a phone sends it."""
    with bundle.open("rb") as file:
        while piece := file.read(PIECE // 8):
            yield piece


def main(bundle: Path) -> None:
    """Bring it, take it, start it."""
    installing.unpack = told("unpacking", installing.unpack)
    installing._compile = told("compiling", installing._compile)
    installing.os.sync = told("everything to the card", installing.os.sync)
    installing.settle = told_settle(installing.settle)
    slots.point = told_point(slots.point)
    slots.put_on_trial = told("before the note of its trial", slots.put_on_trial)
    tell("being brought")
    asyncio.run(keep_version(bundle.name, pieces(bundle), BROUGHT))
    tell("signature and sum")
    unit = replace(this_unit(), check=check)
    print(installing.take(BROUGHT / bundle.name, unit), "is on trial", flush=True)
    tell("asked to start")
    subprocess.run(["systemctl", "--no-block", "restart", "midgrey.service"], check=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
