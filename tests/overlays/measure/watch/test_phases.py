from dataclasses import FrozenInstanceError

import pytest

from overlays.measure.watch.phases import Changing, Learning, Steady


def test_phases_begin_with_nothing_known():
    assert Learning().gap_ns is None
    assert Steady().beyond == 0


@pytest.mark.parametrize(
    ("phase", "name"), [(Learning(), "gap_ns"), (Steady(), "beyond"), (Changing(5), "since_ns")]
)
def test_a_phase_is_left_and_never_changed(phase, name):
    with pytest.raises(FrozenInstanceError):
        setattr(phase, name, 7)
