from types import SimpleNamespace

import numpy as np
import pytest

from firmware.errors import JournalError
from firmware.instruments.grounds import Grounds
from firmware.instruments.pin_frames import PinFrames
from firmware.instruments.target.from_codes import TargetMadeOf
from firmware.journal.made_again import MOST_OTHERS, found_of, frames_of, grounds_object, others_of
from overlays.measure.expose.side import Side
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.frame import Frame
from overlays.signal.signal import Signal, Subsampling

SIGNAL = Signal(8, subsampling=Subsampling.S444)
PLANE = np.arange(400, dtype=np.uint8).reshape(20, 20)
FRAME = Frame((PLANE, PLANE, PLANE), SIGNAL)
SCENE = SimpleNamespace(frame=FRAME)
LIKE = PinFrames.like(FRAME, SpotPlace(10, 10, 6))
MADE_OF = TargetMadeOf(Side.IN)


def kept(signal=SIGNAL, times=(3, 5)):
    like = PinFrames(LIKE.place, LIKE.size, signal, 0, 1)
    return PinFrames(like.place, like.size, signal, 0, 1, dict.fromkeys(times, LIKE.cut(FRAME)))


def test_codes_of_pins_come_out_as_they_went_in():
    frames = {1: kept(), 4: kept(times=(9,))}
    body, packed = grounds_object(Grounds(MADE_OF, frames=frames), SCENE, "")
    found = found_of(body, packed, SCENE, TargetMadeOf)
    assert found.made_of == MADE_OF
    assert {pin: dict(each.samples) for pin, each in found.frames.items()} == {
        pin: dict(each.samples) for pin, each in frames.items()
    }


def test_frames_of_another_signal_and_pins_without_any_are_left_out():
    frames = {1: kept(Signal(8, subsampling=Subsampling.S422)), 2: kept(times=())}
    body, packed = grounds_object(Grounds(MADE_OF, frames=frames), SCENE, "")
    assert (body["frames"], packed) == ([], b"")


def test_codes_that_nothing_is_made_of_are_refused():
    body, packed = grounds_object(Grounds(MADE_OF, frames={1: kept()}), SCENE, "")
    with pytest.raises(JournalError, match="more codes than anything"):
        found_of(body, packed + b"x", SCENE, TargetMadeOf)
    with pytest.raises(JournalError):
        found_of(body, packed[:-1], SCENE, TargetMadeOf)


@pytest.mark.parametrize("frames", [3, [{}] * 9, [{"pin": 1, "place": None, "size": [1, 2]}]])
def test_frames_that_make_no_sense_are_refused(frames):
    with pytest.raises((JournalError, KeyError)):
        frames_of({"frames": frames}, b"", SCENE)


@pytest.mark.parametrize("others", [3, [{}] * (MOST_OTHERS + 1)])
def test_earlier_frames_that_make_no_sense_are_refused(others):
    with pytest.raises(JournalError):
        others_of({"others": others}, b"")
