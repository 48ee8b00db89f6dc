import dataclasses

import pytest

from firmware.exposure_options import ExposeOptions, MatchOptions, PinsOptions, WatchOptions
from firmware.written.options import Output


@pytest.mark.parametrize("kind", [ExposeOptions, PinsOptions, WatchOptions])
def test_a_feed_is_enough(kind):
    options = kind("bench")
    assert options.feed == "bench"
    assert options.profile is None
    assert options.output is Output.TABLE
    with pytest.raises(dataclasses.FrozenInstanceError):
        options.feed = "other"


def test_a_match_needs_two():
    options = MatchOptions("a.mkv", "b.mkv")
    assert (options.feed_a, options.feed_b) == ("a.mkv", "b.mkv")
    assert options.overrides_a == options.overrides_b
