"""What is kept of ceilings from reading to reading."""

from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.counting.clip import FlatTop
from overlays.measure.range.ceiling_memory import LOWER_READINGS, CeilingMemory

DARK = (20.0, 20.0, 20.0)


def found(red, green=None, blue=None):
    return FlatTop((red, green, blue), 0.02, (0.1, 0.1, 0.1))


def test_a_ceiling_stays_known_when_the_picture_no_longer_reaches_it():
    memory = CeilingMemory()
    assert memory.see(None, DARK) is None
    memory.see(found(80.0, 75.0), (80.0, 75.0, 40.0))
    known = memory.see(None, DARK)
    assert known.percents == (80.0, 75.0, None)


def test_channels_are_found_one_after_the_other():
    memory = CeilingMemory()
    memory.see(found(None, 75.0), (60.0, 75.0, 60.0))
    known = memory.see(found(80.0), (80.0, 75.0, 60.0))
    assert known.percents == (80.0, 75.0, None)


def test_a_thing_above_a_ceiling_proves_that_it_was_none():
    memory = CeilingMemory()
    memory.see(found(80.0), (80.0, 20.0, 20.0))
    assert memory.see(None, (80.3, 20.0, 20.0)) is not None  # noise is no thing above it
    assert memory.see(None, (85.0, 20.0, 20.0)) is None


def test_a_higher_ceiling_replaces_a_lower_at_once_and_a_lower_when_it_comes_again():
    memory = CeilingMemory()
    memory.see(found(70.0), (70.0, 20.0, 20.0))
    assert memory.see(found(80.0), (80.0, 20.0, 20.0)).percents[0] == 80.0
    for _ in range(LOWER_READINGS - 1):
        assert memory.see(found(70.0), (70.0, 20.0, 20.0)).percents[0] == 80.0
    assert memory.see(found(70.0), (70.0, 20.0, 20.0)).percents[0] == 70.0


@given(st.lists(st.floats(79.8, 80.2), min_size=1, max_size=40))
def test_the_level_settles_among_what_was_found(levels):
    memory = CeilingMemory()
    for level in levels:
        known = memory.see(found(level), (level, 20.0, 20.0))
    assert min(levels) - 1e-9 <= known.percents[0] <= max(levels) + 1e-9
    assert known.readings == len(levels)
