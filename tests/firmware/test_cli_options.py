"""Options that commands share."""

import pytest

from firmware.cli_options import overrides
from firmware.errors import ArgumentError
from overlays.signal.levels import Carriage
from overlays.signal.signal import Matrix, Range


def test_words_become_members():
    found = overrides("V-Log", "full", "limited", "bt.2020")
    assert found.curve == "V-Log"
    assert found.carriage is Carriage.FULL
    assert (found.range, found.matrix) == (Range.LIMITED, Matrix.BT2020)
    assert overrides(None, None, None, None).carriage is None


def test_a_wrong_word():
    with pytest.raises(ArgumentError):
        overrides(None, "wide", None, None)
