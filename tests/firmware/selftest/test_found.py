from firmware.selftest.found import Figure, RowOutcome, Seer, left_open, missing


def test_a_figure_in_words():
    assert Figure("age", 61.5, "ms").words == "age: 61.5 ms"
    assert Figure("age", None, "").words == "age: not known"


def test_what_is_open_nobody_has_seen():
    found = left_open("x", Figure("a", 1))
    assert (found.outcome, found.seen_by) == (RowOutcome.OPEN, Seer.NOBODY)
    assert missing("y").outcome is RowOutcome.CANNOT
