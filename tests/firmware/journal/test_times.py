from firmware.journal.row import ClockTrust, JournalRow, RowKind
from firmware.journal.times import Dated, Dating
from tests.marked import DAY_S, stamp

UNSET, OWN, SYNCHRONISED = ClockTrust.UNSET, ClockTrust.OWN, ClockTrust.SYNCHRONISED


def of(*stamps):
    dating = Dating(stamps)
    return [dating.of(JournalRow(RowKind.MARK, each, {})) for each in stamps]


def test_a_clock_that_was_never_set_is_said_to_be_unset():
    (found,) = of(stamp(0.0, UNSET))
    assert found == Dated(None)
    assert (found.words, found.day) == ("clock unset", None)


def test_rows_before_the_clock_was_set_are_dated_by_it_in_the_same_run_alone():
    early = stamp(0.0, UNSET)
    early = type(early)(early.boot, early.at_ns, 12.0, UNSET)  # 1970, as a board without one has it
    other = type(early)("b", early.at_ns, 12.0, UNSET)
    late = stamp(60.0, SYNCHRONISED)
    first, second, third = of(early, other, late)
    assert first == Dated(DAY_S, is_corrected=True)
    assert second == Dated(None)
    assert third == Dated(DAY_S + 60.0)
    assert (first.words, first.day) == ("2026-11-27 00:00:00 UTC", "2026-11-27")


def test_what_its_own_clock_dated_is_corrected_once_another_set_it():
    own = stamp(0.0, OWN)
    own = type(own)(own.boot, own.at_ns, DAY_S - 500.0, OWN)
    assert of(own)[0] == Dated(DAY_S - 500.0)
    assert of(own, stamp(60.0))[0] == Dated(DAY_S, is_corrected=True)
