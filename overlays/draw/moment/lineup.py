"""What a panel is set by: the steps of a guide, and where somebody stands in it. Plain values."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class GuideStep:
    """One thing to do: what, and how."""

    name: str
    words: str


GUIDE = (
    GuideStep(
        "light of the panel",
        "Shade the panel from the sun. Choose its light so that white is bright enough beside what "
        "you look at. Where the kernel offers it, it is changed from here.",
    ),
    GuideStep(
        "black",
        "Set the panel's brightness so that the step of 1.8 % can just not be told from black, and "
        "that of 4 % just can.",
    ),
    GuideStep(
        "white",
        "Set contrast as high as the ramp still rises up to 100 %: its last steps must be told "
        "apart, and white must stay without a hue.",
    ),
    GuideStep(
        "what this panel cannot show",
        "Below black it shows nothing, so the step of −1.8 % is missing. A cheap panel has 6 bits "
        "and mixes the rest: its ramp has bands. Its colours are no standard's, and change with "
        "where you stand. Judge exposure by the numbers, not by it.",
    ),
)


@dataclass(frozen=True, slots=True)
class Lineup:
    """Where somebody stands in the guide.

    Attributes
    ----------
    step:
        Of the guide, from 0; after the last comes the first.
    light:
        How the panel's own light stands, in words.
    keys:
        Which keys do what, where no labels say so.
    """

    step: int
    light: str = ""
    keys: str = ""
