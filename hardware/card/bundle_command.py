"""The command line of `hardware/card/bundle`: a new version for units that were started from cards.

Such a unit has nothing but what its card brought: the version in the bundle holds every wheel, as
the card's does, where one of `systemd/make-release` leans on packages of Debian that are not there.
"""

import argparse
import os
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from firmware.errors import UpdateError
from firmware.system.files import reason_of
from firmware.update.bundling import make_bundle
from firmware.update.places import ENDING
from hardware.card import release
from hardware.card.command import epoch_of, kept_in
from hardware.card.errors import CardError
from hardware.card.ingredients import wheels_of
from hardware.card.tools import Tools

WORDS = """\
Make a signed bundle of this folder's version, for units that were started from a card.

  hardware/card/bundle --key ~/midgrey-release --fetch

Wheels are those of the card's lock, out of the folder where hardware/card/build keeps them; --fetch
downloads what is not there. The bundle is the last line printed.
firmware/handbook/versions.md says how a unit gets it.
"""


def parser() -> argparse.ArgumentParser:
    """What can be asked for."""
    made = argparse.ArgumentParser(
        prog="hardware/card/bundle",
        description=WORDS,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    made.add_argument("--key", type=Path, required=True, help="private key to sign with")
    made.add_argument("--out", type=Path, help=f"the file (default: VERSION{ENDING} here)")
    made.add_argument("--fetch", action="store_true", help="download wheels that are not there")
    made.add_argument("--wheels", type=Path, help="a folder of wheels (default: a cache)")
    made.add_argument("--lock", type=Path, default=release.REPO / "hardware/card/lock.txt")
    return made


def main(words: Sequence[str] | None = None) -> int:
    """Make it; the exit status."""
    asked = parser().parse_args(words)
    try:
        out, size = _made(asked, Tools(epoch_of(dict(os.environ))))
    except (CardError, UpdateError) as fault:
        sys.stderr.write(f"card: {fault}\n")
        return 2
    except OSError as fault:
        sys.stderr.write(f"card: {fault.filename or 'a file'}: {reason_of(fault)}\n")
        return 2
    sys.stderr.write(f"card: wrote {size} bytes\n")
    sys.stdout.write(f"{out}\n")
    return 0


def _made(asked: argparse.Namespace, tools: Tools) -> tuple[Path, int]:
    wheels = asked.wheels or kept_in(dict(os.environ)) / "wheels"
    chosen = wheels_of(asked.lock, wheels, tools, _say, fetch=asked.fetch)
    version = release.name_of(chosen)
    out = asked.out or Path(f"{version}{ENDING}")
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made) / version
        _say(f"making midgrey {version}")
        release.make(folder, version, chosen)
        # The same input gives the same bundle; kernels are kept by what sources are, not by when.
        for path in [folder, *folder.rglob("*")]:
            os.utime(path, (tools.epoch, tools.epoch), follow_symlinks=False)
        _say("packing it: a minute or two")
        make_bundle(folder, asked.key, out)
    return out, out.stat().st_size


def _say(line: str) -> None:
    sys.stderr.write(f"card: {line}\n")
