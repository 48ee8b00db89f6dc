"""A small seeded part of fuzzing driver answers; `python -m tests.fuzz.drivers` is the whole."""

from tests.fuzz.drivers import fuzz


def test_drivers_that_answer_nonsense_end_nothing():
    outcome = fuzz(60, seed=7)
    assert sum(outcome.changed.values()) >= 60
    assert min(outcome.changed["error"], outcome.changed["numbers"]) > 10
    assert outcome.frames > 20, "the feeds were never well"
