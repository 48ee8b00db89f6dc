"""A mark's numbers, made of the stored codes alone: when it is made, and again when it is verified.

Codes are those of the spots and of the brightest and the darkest thing; shares of the picture are
made of the counts of all its pixels. What an instrument answers beyond that is made of codes of
earlier frames (`made_again.py`).
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from firmware.answers.cleaner import enveloped
from firmware.instruments.codes import Codes, put_back
from firmware.instruments.desk import PinPlace
from firmware.instruments.registry import REGISTRY, Line, Registry
from firmware.instruments.scene import Frames, Scene
from firmware.journal.inputs import Inputs
from firmware.profiles.model import Profile
from overlays.errors import OverlayError
from overlays.measure.counting.census import Census, Wants, take_census
from overlays.measure.range.range import range_at
from overlays.signal.frame import Frame

READ = "read"
"""The command whose object holds the spots."""
OF_OTHERS = frozenset({"schema", "feed", "profile", "warnings", "truth"})
"""Keys of an answer that say what was read, and with what; what the bench says of its own scene."""
OF_PICTURE = "frame"
"""The key of what is read of the picture as a whole."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """What numbers are made of: the stored codes and what they were read with."""

    codes: Codes
    inputs: Inputs
    profile: Profile

    def scene(self) -> Scene:
        """The places, in a frame that holds nothing else, and the whole one's counts."""
        inputs, codes = self.inputs, self.codes
        frame = put_back(codes, inputs.signal, inputs.shift, inputs.number, inputs.time_ns)
        yard = inputs.yardstick(self.profile)
        scene = Scene(
            frame=frame,
            yard=yard,
            census=self._census(frame),
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
        if inputs.extremes is not None and inputs.counts is not None:
            scene.range = range_at(frame, yard, scene.census, inputs.extremes)
        return scene

    def _census(self, frame: Frame) -> Census:
        counts = self.inputs.counts
        if counts is None:
            return _few_counts(frame, self)
        counts.check(frame.rows, frame.columns)
        return counts.census()


def spots_of(scene: Scene, registry: Registry = REGISTRY) -> dict[str, Any]:
    """The object of the spot and then of each pin, with whatever the scene holds besides."""
    line = registry.of_command(READ)
    pins = (PinPlace("", scene.place), *scene.desk.pins)
    asked = replace(scene, desk=replace(scene.desk, pins=pins))
    answer = line.instrument.measure(asked, None, line.instrument.memory())
    return enveloped(line.object_of(answer))


def answer_of(
    scene: Scene,
    line: Line,
    settings: Any,  # noqa: ANN401 - each instrument has its own
    before: Scene | None = None,
) -> Any:  # noqa: ANN401 - each instrument has its own
    """The answer of an instrument that has a command, where it rests on codes of places; else None.

    `before` is the earlier scene that it rests on too, where there is one.
    """
    instrument = line.instrument
    if line.command is None or instrument.rests_on(scene, settings) is None:
        return None
    memory = instrument.memory() if before is None else instrument.recalled(settings, before)
    return instrument.measure(scene, settings, memory)


def answer_object(answer: object, line: Line) -> Any:  # noqa: ANN401 - JSON
    """Its object of JSON; None where there is not enough in it."""
    return enveloped(line.object_of(answer)) if line.instrument.has_object(answer) else None


def numbers_in(found: object) -> int:
    """How many numbers an object of JSON holds."""
    if isinstance(found, Mapping):
        return sum(numbers_in(each) for each in found.values())
    if isinstance(found, list):
        return sum(numbers_in(each) for each in found)
    return int(isinstance(found, int | float) and not isinstance(found, bool))


def of_answer(found: Mapping[str, Any]) -> dict[str, Any]:
    """What of an answer's object was found; of one with two cameras, too."""
    return {key: _found(each) for key, each in found.items() if key not in OF_OTHERS}


def _found(value: Any) -> Any:  # noqa: ANN401 - JSON
    if isinstance(value, Mapping):
        return {key: _found(each) for key, each in value.items() if key not in OF_OTHERS}
    return [_found(each) for each in value] if isinstance(value, list) else value


def of_codes(found: Mapping[str, Any], inputs: Inputs) -> dict[str, Any]:
    """What of an answer's object is made of what is kept: all that it found, in marks since 0.6."""
    all_ = of_answer(found)
    if inputs.counts is None:
        all_.pop(OF_PICTURE, None)
    return all_


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
