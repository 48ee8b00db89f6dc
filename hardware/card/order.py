"""What is asked for of a card, and whether that can be done at all."""

from dataclasses import dataclass
from pathlib import Path

from hardware.card.boot_lines import Board, Input
from hardware.card.errors import ChoiceError

ROOM = 3 << 30
"""Bytes that the root becomes longer by: packages, this version, and two more beside it."""


@dataclass(frozen=True, slots=True)
class Order:
    """What was asked for.

    Attributes
    ----------
    image, out:
        The makers' image, and the card's to be written.
    board, chosen:
        What it is for, and where the picture comes in.
    lock_file, wheels, debs, kernels:
        The lock, and the folders of wheels, of Debian packages and of kernels.
    fetch:
        Whether what the folders lack is downloaded.
    make_kernels:
        Whether kernels are made where their folder has none.
    signers:
        The keys whose versions the unit takes (firmware/handbook/versions.md); None for none.
    read_only:
        Whether the root is only read once the first boot is done.
    room_bytes:
        What the root becomes longer by.
    """

    image: Path
    out: Path
    board: Board
    chosen: Input
    lock_file: Path
    wheels: Path
    debs: Path
    kernels: Path
    fetch: bool = False
    make_kernels: bool = False
    signers: Path | None = None
    read_only: bool = False
    room_bytes: int = ROOM


def check(order: Order) -> None:
    """Make sure that the card's image can be written where it is asked for.

    Raises
    ------
    ChoiceError
    """
    if order.out.resolve() == order.image.resolve():
        raise ChoiceError(f"{order.out} is the image itself: name another file for the card")
    if order.out.exists() and not order.out.is_file():
        raise ChoiceError(
            f"{order.out} is no plain file: a card is made as an image first, and written to the "
            "card afterwards (firmware/handbook/card.md)"
        )
    if not order.out.parent.is_dir():
        raise ChoiceError(f"there is no folder {order.out.parent} for the card's image: make it")
