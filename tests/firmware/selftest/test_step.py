import sys

from firmware.selftest.step import run_program


def test_a_program_s_end_and_words_come_back():
    done = run_program([sys.executable, "-c", "print('a'); raise SystemExit(3)"], 20.0)
    assert (done.status, done.said) == (3, "a\n")


def test_one_that_is_missing_or_takes_too_long_ends_nothing():
    assert run_program(["/nowhere/at-all"], 5.0).status is None
    done = run_program([sys.executable, "-c", "input(); import time; time.sleep(9)"], 0.2)
    assert done.status in {None, 1}
