"""Scenes of pictures made with colour-science alone."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from firmware.feeds.base import FeedInfo
from firmware.instruments.asking import scene_of
from firmware.instruments.desk import Desk, PinPlace
from firmware.instruments.scene import Scene
from firmware.opening.read_with import read_with
from firmware.profiles.shelf import load_profile
from overlays.measure.spot.spot import SpotPlace
from tests.colour_frames import frame_of


@pytest.fixture
def lit() -> Callable[..., Scene]:
    """A scene of linear light, (rows, columns, 3), with (name, place) of pins and a spot."""

    def made(
        light: np.ndarray,
        pins: tuple[tuple[str, SpotPlace], ...] = (),
        spot: SpotPlace | None = None,
        profile: object = "log-v",
        **how: object,
    ) -> Scene:
        frame = frame_of(light, "V-Log", noise=0.5)
        info = FeedInfo("made", "by hand", frame.columns, frame.rows, frame.signal, 25.0)
        kit = load_profile(profile) if isinstance(profile, str) else profile
        scene = scene_of(frame, read_with(kit, info), ())
        place = spot or scene.place
        desk = Desk(tuple(PinPlace(name, at) for name, at in pins))
        return replace(scene, desk=desk, place=place, spot=scene.read(place), **how)

    return made
