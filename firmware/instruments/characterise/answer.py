"""What was found of a camera."""

from dataclasses import dataclass

from firmware.answers.origin import Origin
from overlays.measure.characterise.camera import CameraFound


@dataclass(frozen=True, slots=True, eq=False)
class CharacteriseAnswer:
    """A camera.

    Attributes
    ----------
    origin:
        Of the frame of the cap.
    name:
        What it is to be called.
    found:
        Its curve, clip, floor and noise.
    plane_noise:
        For each step deviations of a sample of the three planes, in codes.
    """

    origin: Origin
    name: str
    found: CameraFound
    plane_noise: tuple[tuple[float, float, float], ...]
