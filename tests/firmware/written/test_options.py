from firmware.feeds.base import SignalOverride
from firmware.written.options import Overrides, RunOptions
from overlays.signal.signal import Matrix, Range


def test_overrides_hand_the_feed_only_what_concerns_it():
    asked = Overrides(curve="V-Log", range=Range.FULL, matrix=Matrix.BT601)
    assert asked.signal == SignalOverride(Range.FULL, Matrix.BT601)


def test_nothing_asked_leaves_everything_to_profile_and_feed():
    assert RunOptions().overrides.signal == SignalOverride()
