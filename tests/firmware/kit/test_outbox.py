"""Marks wait in the journal until they are acknowledged, over restarts and lost brokers."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.journal.row import RowKind
from firmware.journal.slate import Slate
from firmware.kit.outbox import (
    AGAIN_NS,
    LOOK_NS,
    MOST_AT_ONCE,
    NAME,
    Outbox,
    mark_of_row,
    slate_from,
    slate_part,
)
from tests.firmware.kit.conftest import put, row


class Desk:
    """An outbox, a clock moved by hand, and what was acknowledged."""

    def __init__(self, journal):
        self.journal, self.now_ns = journal, 10**12
        self.begin()

    def begin(self):
        self.box = Outbox(self.journal, "cam-a")
        self.box.begin()

    def due(self):
        self.now_ns += LOOK_NS
        return [each.number for each in self.box.due(self.now_ns)]

    def through(self, *numbers):
        for each in numbers:
            self.box.acknowledged(each, self.now_ns)


@pytest.fixture
def desk(tmp_path):
    return Desk(tmp_path / "journal.db")


def test_rows_go_out_in_order_and_again_after_a_restart_until_they_are_through(desk):
    assert desk.due() == []
    put(desk.journal, *(row(n) for n in range(1, 4)))
    assert desk.due() == [1, 2, 3]
    assert desk.due() == []
    desk.through(1, 3)  # in whatever order
    assert desk.box.waiting == 1
    desk.begin()
    assert desk.due() == [2, 3]
    desk.through(2, 3)
    desk.begin()
    assert desk.due() == []


def test_no_more_wait_at_once_than_may(desk):
    put(desk.journal, *(row(n) for n in range(1, MOST_AT_ONCE + 6)))
    assert desk.due() == list(range(1, MOST_AT_ONCE + 1))
    assert desk.due() == []
    desk.through(1, 2)
    assert desk.due() == [MOST_AT_ONCE + 1, MOST_AT_ONCE + 2]


def test_a_journal_that_goes_while_marks_are_left_in_it_has_none(desk):
    put(desk.journal, *(row(n) for n in range(1, MOST_AT_ONCE + 4)))
    assert len(desk.due()) == MOST_AT_ONCE
    desk.through(*range(1, MOST_AT_ONCE + 1))
    assert desk.box.behind
    desk.journal.unlink()
    assert desk.due() == []


def test_what_a_broker_may_have_lost_with_its_power_goes_out_again_and_older_does_not(desk):
    put(desk.journal, row(1), row(2))
    desk.due()
    desk.through(1, 2)
    desk.now_ns += AGAIN_NS + 1
    put(desk.journal, row(3))
    assert desk.due() == [3]
    desk.through(3)
    desk.box.broken(desk.now_ns)
    assert desk.due() == [3]


def test_another_journal_is_begun_with(desk):
    put(desk.journal, row(1), row(2))
    desk.due()
    desk.through(1, 2)
    desk.journal.unlink()
    put(desk.journal, row(7))
    assert desk.due() == [1]
    desk.through(1)
    desk.journal.unlink()
    put(desk.journal, row(8), row(9))
    desk.begin()  # the seal of the row tells, where its number does not
    assert desk.due() == [1, 2]


def test_a_reader_that_was_forgotten_is_told_again_once_and_nothing_of_before_the_kit(desk):
    desk.journal.parent.joinpath(NAME).unlink()
    put(desk.journal, row(1))
    desk.begin()
    put(desk.journal, row(2), row(3))
    assert desk.due() == [2, 3]
    desk.through(2, 3)
    desk.box.again("wish")
    assert desk.due() == [2, 3]
    desk.through(2, 3)
    desk.box.again("wish")
    desk.begin()
    desk.box.again("wish")  # which the broker says again with each connection
    assert desk.due() == []


def test_rows_that_date_others_are_not_sent(desk):
    put(desk.journal, row(1, RowKind.CLOCK), row(2, RowKind.EVENT), row(3, RowKind.CLOCK))
    assert desk.due() == [2]
    desk.through(2)
    assert json.loads((desk.journal.parent / NAME).read_text())["sent"] == 3


def test_those_that_are_not_sent_are_not_waited_for(desk):
    put(desk.journal, row(1, RowKind.CLOCK), row(2, RowKind.CLOCK))
    assert desk.due() == []
    assert desk.box.waiting == 0
    # A start after this does not read them again.
    assert json.loads((desk.journal.parent / NAME).read_text())["sent"] == 2


@pytest.mark.parametrize(
    "kept", ["", "[]", "{}", '{"sent": -1, "seal": "", "from": 0, "followed": ""}', '{"sent": "x"}']
)
def test_a_spoilt_file_of_what_was_sent_sends_nothing_old(desk, kept):
    put(desk.journal, row(1))
    (desk.journal.parent / NAME).write_text(kept)
    desk.begin()
    assert desk.due() == []
    put(desk.journal, row(2))
    assert desk.due() == [2]


def test_a_journal_that_cannot_be_read_is_said(desk):
    desk.journal.write_bytes(b"no journal" * 1000)
    assert desk.due() == []
    assert "journal" in desk.box.fault


@given(
    st.dictionaries(
        st.sampled_from(["stops", "percent", "frame", "slate", "feed", "words", "view"]),
        st.none()
        | st.text(max_size=9)
        | st.floats(allow_nan=False, allow_infinity=False)
        | st.integers()
        | st.lists(st.none()),
    )
)
def test_a_row_that_somebody_spoilt_is_sent_as_it_can_be_or_not_at_all(head):
    made = row(1, **head)
    found = mark_of_row(made.kept(1, bytes(32)), "cam-a")
    assert found is None or (found.unit, found.number, len(found.id)) == ("cam-a", 1, 64)


def test_a_slate_leaves_each_unit_its_own_camera():
    own = Slate(scene="1", camera="B")
    sent = slate_part(Slate(scene="12", notes="n"))
    assert slate_from(sent, own) == Slate(scene="12", camera="B", notes="n")
    assert slate_from(slate_part(Slate(camera="A")), own).camera == "A"
