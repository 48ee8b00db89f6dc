"""The command line of `hardware/card/build`."""

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from hardware.card import release
from hardware.card.boot_lines import Board, Input
from hardware.card.errors import CardError, ChoiceError
from hardware.card.making import make
from hardware.card.order import Order
from hardware.card.tools import Tools

EPOCH = 1764201600
"""What everything is dated with unless SOURCE_DATE_EPOCH says otherwise: 2025-11-27, after every
source's own date that matters, and the same for everybody."""
WORDS = """\
Make an image of a card that boots into midgrey, from the image of the board makers' system.

  hardware/card/build IMAGE --out midgrey.img --board pi5 --fetch

IMAGE is their system of release trixie without a desktop, for 64 bits, as it was downloaded
(.img or .img.xz). What is fetched is kept in a folder and found there the next time, also without a
network. The same input gives the same image, byte for byte. firmware/handbook/card.md
goes on.
"""


def parser() -> argparse.ArgumentParser:
    """What can be asked for."""
    made = argparse.ArgumentParser(
        prog="hardware/card/build",
        description=WORDS,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    made.add_argument("image", type=Path, metavar="IMAGE")
    made.add_argument("--out", type=Path, required=True, help="the card's image to be written")
    made.add_argument("--board", choices=[each.value for each in Board], required=True)
    made.add_argument(
        "--input",
        choices=[each.value for each in Input],
        default=Input.BRIDGE.value,
        help="where the picture comes in (default: an HDMI bridge)",
    )
    made.add_argument(
        "--fetch", action="store_true", help="download wheels and packages that are not there"
    )
    made.add_argument("--kept", type=Path, help="the folder for all of these (default: a cache)")
    made.add_argument("--wheels", type=Path, help="a folder of wheels")
    made.add_argument("--debs", type=Path, help="a folder of Debian packages")
    made.add_argument("--kernels", type=Path, help="a folder of kernels made before")
    made.add_argument(
        "--make-kernels", action="store_true", help="make kernels by emulation (10 to 60 minutes)"
    )
    made.add_argument(
        "--read-only", action="store_true", help="the root is only read after the first boot"
    )
    made.add_argument(
        "--signers", type=Path, help="allowed_signers: the keys whose versions the unit takes"
    )
    made.add_argument("--lock", type=Path, help="another lock than hardware/card/lock.txt")
    made.add_argument(
        "--room", type=float, default=3.0, metavar="GB", help="what the root grows by (default: 3)"
    )
    return made


def order_of(asked: argparse.Namespace, environ: dict[str, str]) -> Order:
    """What was asked for, with what stands for what was not.

    Raises
    ------
    ChoiceError
    """
    if not 0.5 <= asked.room <= 64.0:
        raise ChoiceError(f"--room {asked.room:g} is out of bounds: 0.5 to 64 (GB)")
    kept = asked.kept or kept_in(environ)
    board, chosen = Board(asked.board), Input(asked.input)
    return Order(
        image=asked.image,
        out=asked.out,
        board=board,
        chosen=chosen,
        lock_file=asked.lock or release.REPO / "hardware/card/lock.txt",
        wheels=asked.wheels or kept / "wheels",
        debs=asked.debs or kept / ("debs-camera" if chosen is Input.CAMERA else "debs"),
        kernels=asked.kernels or kept / f"kernels-{board.value}",
        fetch=asked.fetch,
        make_kernels=asked.make_kernels,
        signers=asked.signers,
        read_only=asked.read_only,
        room_bytes=int(asked.room * (1 << 30)),
    )


def kept_in(environ: dict[str, str]) -> Path:
    """Where what is fetched and made is kept, unless another folder is named."""
    cache = environ.get("XDG_CACHE_HOME") or str(Path(environ.get("HOME", "/")) / ".cache")
    return Path(cache) / "midgrey-card"


def epoch_of(environ: dict[str, str]) -> int:
    """The date of everything, in seconds since 1970.

    Raises
    ------
    ChoiceError
    """
    text = environ.get("SOURCE_DATE_EPOCH", str(EPOCH))
    # Below, FAT knows no date; above, it and ext4's small inodes know none either.
    if not text.isascii() or not text.isdigit() or not 315532800 <= int(text) < 2**31:
        raise ChoiceError(
            f"SOURCE_DATE_EPOCH={text} is no time from 1980 to 2038 in whole seconds since 1970"
        )
    return int(text)


def _said(line: str) -> None:
    sys.stderr.write(f"card: {line}\n")


def main(
    words: Sequence[str] | None = None,
    making: Callable[[Order, Tools, Callable[[str], None]], None] = make,
) -> int:
    """Make what is asked for; the exit status."""
    asked = parser().parse_args(words)
    try:
        environ = dict(os.environ)
        order = order_of(asked, environ)
        making(order, Tools(epoch_of(environ)), _said)
    except CardError as fault:
        sys.stderr.write(f"card: {fault}\n")
        return 2
    except OSError as fault:
        sys.stderr.write(
            f"card: {fault.filename or 'a file'}: {fault.strerror or fault}; nothing was left "
            "behind; make room, or name another folder\n"
        )
        return 2
    _said(f"{order.out} is ready: write it to a card (firmware/handbook/card.md)")
    return 0
