"""What stands on the command line against profile and feed."""

import pytest

from firmware.errors import ArgumentError
from firmware.opening.overrides import Overrides, overrides_of
from firmware.written.options import ReadOptions, RunOptions
from overlays.signal.levels import Carriage
from overlays.signal.signal import Matrix, Range, SignalOverride


def test_words_become_members():
    found = overrides_of(
        ReadOptions(curve="V-Log", carriage="full", range="limited", matrix="bt.2020")
    )
    assert found.curve == "V-Log"
    assert found.carriage is Carriage.FULL
    assert (found.range, found.matrix) == (Range.LIMITED, Matrix.BT2020)
    assert overrides_of(ReadOptions()).carriage is None


def test_a_wrong_word():
    with pytest.raises(ArgumentError):
        overrides_of(ReadOptions(carriage="wide"))


def test_overrides_hand_the_feed_only_what_concerns_it():
    asked = Overrides(curve="V-Log", range=Range.FULL, matrix=Matrix.BT601)
    assert asked.signal == SignalOverride(Range.FULL, Matrix.BT601)


def test_nothing_asked_leaves_everything_to_profile_and_feed():
    assert overrides_of(RunOptions()).signal == SignalOverride()
