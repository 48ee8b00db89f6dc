"""Shares of a picture by channel, as objects of ``--json`` state them."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ShareObject:
    """Shares of the picture, 0 to 1."""

    r: float
    g: float
    b: float
