"""What is read of a step of a bracket: the card in one frame, and in those behind it."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import islice

from firmware.instruments.characterise.answer import StepNoise
from firmware.instruments.scene import Scene
from overlays.measure.characterise.channel_noise import channel_noise
from overlays.measure.characterise.followed import Followed, followed
from overlays.measure.feedcheck.readings import CodeReading, reading_of_spot, tally_of
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.frame import Frame

BEHIND = 15
"""Frames behind the one that is named: more than half a second at 25 a second, in which every beat
of two hertz and more swings up and down."""


def read_card(scene: Scene, place: SpotPlace | None = None) -> tuple[CodeReading, StepNoise]:
    """A spot in codes, and its noise; the scene's own where none is named."""
    spot = scene.read(place or scene.place)
    one, two, three = (plane.noise for plane in spot.errors.planes)
    channels = channel_noise(scene.frame, spot.place)
    read = reading_of_spot(spot, scene.yard)
    tally = tally_of(scene.frame, spot)
    return replace(read, tally=tally, channels=channels), StepNoise((one, two, three), channels)


def frames_apart(named: Sequence[tuple[str, int]]) -> list[int]:
    """(feed, frame) of each step: frames from it to the next that is named of the same feed."""
    return [
        min((n - frame for other, n in named if other == feed and n > frame), default=BEHIND + 1)
        for feed, frame in named
    ]


def read_followed(
    scene: Scene, behind: Iterator[Frame], places: Sequence[SpotPlace], apart: int = BEHIND + 1
) -> list[tuple[Followed, StepNoise]]:
    """The same of steps that lie in one picture, and of the frames behind it.

    As many of those are read as come before the next picture that is named; each once for all of
    its steps: a wedge is one picture of some dozens.
    """
    first = [read_card(scene, place) for place in places]
    series = [[(scene.frame.time_ns / 1e9, read)] for read, _ in first]
    for frame in islice(behind, BEHIND):
        if frame.number - scene.frame.number >= apart:
            break
        for place, known in zip(places, series, strict=True):
            spot = read_spot(frame, scene.yard, place)
            known.append((frame.time_ns / 1e9, reading_of_spot(spot, scene.yard)))
    return [(followed(known), noise) for known, (_, noise) in zip(series, first, strict=True)]
