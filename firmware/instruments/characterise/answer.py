"""What was found of a camera."""

from dataclasses import dataclass

from firmware.answers.origin import Origin
from overlays.measure.characterise.camera_found import CameraFound
from overlays.measure.characterise.channel_noise import Channels


@dataclass(frozen=True, slots=True)
class StepNoise:
    """Deviations of a sample at one step.

    Attributes
    ----------
    planes:
        Of the three planes as they were sent, in codes.
    channels:
        Of R', G', B', in codes of luma.
    """

    planes: tuple[float, float, float]
    channels: Channels


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
    noise:
        Of each step.
    """

    origin: Origin
    name: str
    found: CameraFound
    noise: tuple[StepNoise, ...]
