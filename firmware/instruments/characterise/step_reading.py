"""What is read of a step of a bracket: the card in one frame, and in those behind it."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import islice

from firmware.instruments.characterise.answer import StepNoise
from firmware.instruments.scene import Scene
from overlays.measure.characterise.channel_noise import channel_noise
from overlays.measure.characterise.followed import Followed, followed
from overlays.measure.feedcheck.readings import CodeReading, reading_of_spot, tally_of
from overlays.measure.spot.spot import read_spot
from overlays.signal.frame import Frame

BEHIND = 15
"""Frames behind the one that is named: more than half a second at 25 a second, in which every beat
of two hertz and more swings up and down."""


def read_card(scene: Scene) -> tuple[CodeReading, StepNoise]:
    """The spot in codes, and its noise."""
    assert scene.spot is not None  # a scene of a command has one
    one, two, three = (plane.noise for plane in scene.spot.errors.planes)
    channels = channel_noise(scene.frame, scene.spot.place)
    read = reading_of_spot(scene.spot, scene.yard)
    tally = tally_of(scene.frame, scene.spot)
    return replace(read, tally=tally, channels=channels), StepNoise((one, two, three), channels)


def frames_apart(named: Sequence[tuple[str, int]]) -> list[int]:
    """(feed, frame) of each step: frames from it to the next that is named of the same feed."""
    return [
        min((n - frame for other, n in named if other == feed and n > frame), default=BEHIND + 1)
        for feed, frame in named
    ]


def read_followed(
    scene: Scene, behind: Iterator[Frame], apart: int = BEHIND + 1
) -> tuple[Followed, StepNoise]:
    """The same of a step and the frames behind it, as many as come before the next step."""
    first, noise = read_card(scene)
    assert scene.spot is not None
    series = [(scene.frame.time_ns / 1e9, first)]
    for frame in islice(behind, BEHIND):
        if frame.number - scene.frame.number >= apart:
            break
        spot = read_spot(frame, scene.yard, scene.spot.place)
        series.append((frame.time_ns / 1e9, reading_of_spot(spot, scene.yard)))
    return followed(series), noise
