"""Options that several commands share, and what is made of them."""

from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from firmware.written.options import Overrides

FEED_HELP = "bench[:k=v,...], v4l2:/dev/videoN, or the path of footage or a still"
ProfileOption = Annotated[
    str | None, typer.Option("--profile", metavar="P", help="Name of a profile, or its .toml file")
]
CurveOption = Annotated[
    str | None, typer.Option("--curve", metavar="NAME", help="Published curve, over the profile's")
]
CarriageOption = Annotated[
    str | None,
    typer.Option("--carriage", metavar="full|narrow", help="How the curve lies on codes"),
]
GamutOption = Annotated[
    str | None, typer.Option("--gamut", metavar="G", help="Published gamut, over the profile's")
]
RangeOption = Annotated[
    str | None, typer.Option("--range", metavar="limited|full", help="Range, over the feed's")
]
MatrixOption = Annotated[
    str | None,
    typer.Option("--matrix", metavar="BT.709|BT.601|BT.2020", help="Matrix, over the feed's"),
]


def overrides(
    curve: str | None, carriage: str | None, quantisation: str | None, matrix: str | None
) -> "Overrides":
    """What stands on the command line against the profile; raises `ArgumentError`."""
    from firmware.written.options import Overrides  # noqa: PLC0415 - keeps --help fast
    from firmware.written.spelling import choice  # noqa: PLC0415
    from overlays.signal.levels import Carriage  # noqa: PLC0415
    from overlays.signal.signal import Matrix, Range  # noqa: PLC0415

    return Overrides(
        curve,
        None if carriage is None else choice(Carriage, carriage, "carriage"),
        None if quantisation is None else choice(Range, quantisation, "range"),
        None if matrix is None else choice(Matrix, matrix, "matrix"),
    )
