"""The first start says that it compiles, and how far it is."""

import io
import re

import numba
import pytest
from numba.core.compiler_lock import global_compiler_lock

from firmware.system.compiling import ABOUT, EVERY, FIRST_START, Compiling, listen, said_on


class Terminal(io.StringIO):
    def isatty(self):
        return True


def compiled(number):
    """A function that no cache holds, compiled by its first call."""
    made = numba.njit(eval(f"lambda x: x + {number}"))
    assert made(1) == 1 + number


def test_a_terminal_has_one_line_that_is_wiped_at_the_end():
    out = Terminal()
    with said_on(out) as made:
        compiled(1)
        compiled(2)
    assert made.count >= 2
    said = out.getvalue()
    assert "\n" not in said
    assert re.search(r"first start .*: 1 of about \d+ parts", said)
    assert f"{made.count} of about {ABOUT} parts" in said
    assert said.endswith("\r\x1b[K")


def test_a_log_has_a_line_now_and_then():
    out = io.StringIO()
    with said_on(out) as made:
        for number in range(3):
            compiled(number + 10)
        for _ in range(2 * EVERY):
            made.one_more()
    lines = out.getvalue().splitlines()
    assert all(line.startswith("midgrey: first start") for line in lines)
    assert len(lines) == 1 + (made.count - 1) // EVERY


def test_who_waits_for_an_answer_is_told_in_one_line_once_it_is_a_wait():
    out = io.StringIO()
    with said_on(out, in_logs=False) as made:
        compiled(30)
        assert made.count
        assert out.getvalue() == ""
        for _ in range(3 * EVERY):
            made.one_more()
    assert out.getvalue() == f"midgrey: {FIRST_START}\n"


def test_nothing_is_said_where_nothing_is_compiled():
    function = numba.njit(lambda x: x + 7)
    function(1)
    out = Terminal()
    with said_on(out):
        function(2)
    assert out.getvalue() == ""


def test_who_listens_no_more_hears_nothing():
    heard = Compiling()
    assert heard.words == ""
    end = listen(heard)
    compiled(20)
    count = heard.count
    assert count >= 1
    end()
    compiled(21)
    assert heard.count == count


def test_the_lock_counts_as_work_for_as_long_as_somebody_has_it():
    heard = Compiling()
    end = listen(heard)
    try:
        with global_compiler_lock:
            assert heard.is_making
            with global_compiler_lock:
                pass
            assert heard.is_making
        assert not heard.is_making
        compiled(40)
        assert not heard.is_making
    finally:
        end()


def test_a_lock_that_was_had_before_anybody_listened_is_not_owed():
    heard = Compiling()
    heard.compiler(-1)
    assert not heard.is_making
    heard.compiler(1)
    assert heard.is_making


@pytest.mark.parametrize(("count", "said"), [(3, "3 of about"), (ABOUT + 9, f"{ABOUT + 9} parts")])
def test_no_more_is_promised_than_is_known(count, said):
    heard = Compiling()
    heard.count = count
    assert said in heard.words
