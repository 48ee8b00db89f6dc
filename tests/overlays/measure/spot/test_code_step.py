"""The step of the codes in use, by what carried them."""

import numpy as np
import pytest

from overlays.measure.spot.code_step import code_step, looked_at
from overlays.signal.frame import Frame
from overlays.signal.signal import Range, Signal, Subsampling


def framed(codes, bits, shift=0):
    plane = (codes.astype(np.uint32) << shift).astype(np.uint8 if bits == 8 else np.uint16)
    signal = Signal(bits, Range.FULL, subsampling=Subsampling.S444)
    return Frame((plane, plane, plane), signal, shift)


def picture(bits, seed=1):
    return np.random.default_rng(seed).integers(0, 2**bits, (120, 200))


@pytest.mark.parametrize(
    ("content", "carried", "step"), [(8, 8, 1), (10, 10, 1), (8, 10, 4), (9, 10, 2), (12, 16, 16)]
)
@pytest.mark.parametrize("shift", [0, 6])
def test_the_step_is_what_the_carriage_multiplied_by(content, carried, step, shift):
    if carried + shift > 16 or (carried == 8 and shift):
        return
    frame = framed(picture(content) * step, carried, shift)
    found = code_step(frame)
    assert (found.step, found.is_certain) == (step, True)
    said = found.sentences(frame.signal)
    assert bool(said) == (step > 1)
    if said:
        assert f"{carried}-bit feed, {content}-bit content" in said[0]


def test_one_odd_code_is_enough_to_deny_it():
    codes = picture(8) * 4
    codes[60:64] += 1
    assert code_step(framed(codes, 10)).step == 1


def test_a_picture_of_few_levels_says_nothing():
    bars = np.repeat(np.array([64, 164, 264, 940]), 50)[None].repeat(120, 0)
    found = code_step(framed(bars, 10))
    assert (found.step, found.sentences(Signal(10))) == (1, ())


def test_a_picture_smaller_than_the_grid():
    assert code_step(framed(np.arange(4, 40, 4).reshape(3, 3), 10)).step == 4


def test_which_samples_are_looked_at_never_changes():
    """Marks keep those samples: read in another order they would be another picture's."""
    rows, columns = looked_at(3, 3)
    assert rows.tolist() == [0, 0, 0, 1, 1, 1, 2, 2, 2]
    assert columns.tolist() == [0, 1, 2, 1, 2, 0, 2, 0, 1]
