from dataclasses import FrozenInstanceError

import pytest

from overlays.measure.watch.phases import ChangingPhase, LearningPhase, SteadyPhase


def test_phases_begin_with_nothing_known():
    assert LearningPhase().gap_ns is None
    assert SteadyPhase().beyond == 0


@pytest.mark.parametrize(
    ("phase", "name"),
    [(LearningPhase(), "gap_ns"), (SteadyPhase(), "beyond"), (ChangingPhase(5), "since_ns")],
)
def test_a_phase_is_left_and_never_changed(phase, name):
    with pytest.raises(FrozenInstanceError):
        setattr(phase, name, 7)
