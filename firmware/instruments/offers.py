"""What an instrument offers the rail in its view: its own presses, each with a short label."""

from dataclasses import dataclass

from firmware.actions import Press


@dataclass(frozen=True, slots=True)
class Offer:
    """What a press does in a view, in a word or two."""

    label: str
    press: Press


@dataclass(frozen=True, slots=True)
class Offers:
    """All that an instrument offers in its view.

    Attributes
    ----------
    own:
        Presses of its own, the most used first: that stands on the rail itself.
    turned:
        What up and down move (the encoder, if there is one); empty where they move nothing.
    chosen:
        What the press does that chooses which; empty where there is one only.
    moved:
        What left, right, up and down move over the picture.
    """

    own: tuple[Offer, ...] = ()
    turned: str = "stripe"
    chosen: str = "next stripe"
    moved: str = "spot"
