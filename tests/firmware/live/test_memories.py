"""Each instrument has a memory of its own, under its name."""

from firmware.instruments.registry import REGISTRY
from firmware.live.memories import memories_of


def test_each_instrument_has_one_and_another_run_has_others():
    here, there = memories_of(REGISTRY), memories_of(REGISTRY)
    assert list(here) == [each.name for each in REGISTRY]
    assert all(here[name] is None or here[name] is not there[name] for name in here)
