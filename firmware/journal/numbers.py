"""A mark's numbers, made of the stored codes alone: when it is made, and again when it is verified.

What an instrument answers beyond that (the whole picture, frames before) stands in the row too, and
is held by its seal, but is nothing that the codes of a few spots could give again.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from firmware.answers.cleaner import enveloped
from firmware.instruments.desk import PinPlace
from firmware.instruments.registry import REGISTRY, Line, Registry
from firmware.instruments.scene import Frames, Scene
from firmware.journal.codes import Codes, put_back
from firmware.journal.inputs import Inputs
from firmware.profiles.model import Profile
from overlays.draw.layout.views import View
from overlays.errors import OverlayError
from overlays.measure.counting.census import Census, Wants, take_census
from overlays.signal.frame import Frame

READ = "read"
"""The command whose object holds the spots."""
OF_SPOTS = "spots"
OF_OTHERS = frozenset({"schema", "feed", "profile", "warnings", "frame"})
"""Keys of an answer that are no numbers of its spots."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """What numbers are made of: the stored codes and what they were read with."""

    codes: Codes
    inputs: Inputs
    profile: Profile

    def scene(self) -> Scene:
        """The places, in a frame that holds nothing else; no counts, no extremes."""
        inputs, codes = self.inputs, self.codes
        frame = put_back(codes, inputs.signal, inputs.shift, inputs.number, inputs.time_ns)
        yard = inputs.yardstick(self.profile)
        scene = Scene(
            frame=frame,
            yard=yard,
            census=_few_counts(frame, self),
            read_with=inputs.read_with(self.profile, codes.columns, codes.rows),
            desk=inputs.desk,
            place=inputs.place,
            spot=None,
            range=None,
            frames=Frames.ONCE,
            is_shown=False,
        )
        try:
            scene.spot = scene.read(inputs.place)
        except OverlayError:
            scene.spot = None
        return scene


def spots_of(scene: Scene, registry: Registry = REGISTRY) -> dict[str, Any]:
    """The object of the spot and then of each pin, with whatever the scene holds besides."""
    line = registry.of_command(READ)
    pins = (PinPlace("", scene.place), *scene.desk.pins)
    asked = replace(scene, desk=replace(scene.desk, pins=pins))
    answer = line.instrument.measure(asked, None, line.instrument.memory())
    return enveloped(line.object_of(answer))


def of_view(scene: Scene, view: View, settings: Any, registry: Registry = REGISTRY) -> Any:  # noqa: ANN401
    """The object of the view's instrument where it rests on codes of places; else None."""
    instrument = registry.in_view(view)
    line = registry.line_of(instrument)
    if line.command is None or instrument.rests_on(scene, settings) is None:
        return None
    answer = instrument.measure(scene, settings, instrument.memory())
    return enveloped(line.object_of(answer)) if instrument.has_object(answer) else None


def line_of_view(view: View, registry: Registry = REGISTRY) -> Line:
    """The line of the instrument of a view."""
    return registry.line_of(registry.in_view(view))


def numbers_in(found: object) -> int:
    """How many numbers an object of JSON holds."""
    if isinstance(found, Mapping):
        return sum(numbers_in(each) for each in found.values())
    if isinstance(found, list):
        return sum(numbers_in(each) for each in found)
    return int(isinstance(found, int | float) and not isinstance(found, bool))


def of_spots(found: Mapping[str, Any]) -> dict[str, Any]:
    """What of an answer's object is made of its spots."""
    return {key: value for key, value in found.items() if key not in OF_OTHERS}


def _few_counts(frame: Frame, kept: Evidence) -> Census:
    """Counts that nobody looks at, of the corner of the frame."""
    sub = frame.signal.subsampling
    luma, *chroma = frame.planes
    small = (
        luma[:2, :2],
        chroma[0][: -(-2 // sub.rows), : -(-2 // sub.columns)],
        chroma[1][: -(-2 // sub.rows), : -(-2 // sub.columns)],
    )
    corner = replace(frame, planes=small)
    return take_census(corner, kept.inputs.yardstick(kept.profile), Wants.LEVELS)
