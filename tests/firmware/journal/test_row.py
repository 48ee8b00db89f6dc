from dataclasses import replace

import pytest

from firmware.journal.row import FIRST_SEAL, JournalRow, RowKind, canonical, seal_of
from tests.marked import stamp

ROW = JournalRow(RowKind.MARK, stamp(), {"a": 1.5}, {"b": [None, "ä"]}, {"still": b"x"})


def test_a_seal_holds_all_of_a_row_its_place_and_the_row_before():
    sealed = seal_of(ROW, 1, FIRST_SEAL)
    others = [
        (replace(ROW, head={"a": 1.500001}), 1, FIRST_SEAL),
        (replace(ROW, body={"b": [None, "a"]}), 1, FIRST_SEAL),
        (replace(ROW, blobs={"still": b"y"}), 1, FIRST_SEAL),
        (replace(ROW, blobs={"trace": b"x"}), 1, FIRST_SEAL),
        (replace(ROW, kind=RowKind.EVENT), 1, FIRST_SEAL),
        (replace(ROW, stamp=stamp(1e-3)), 1, FIRST_SEAL),
        (ROW, 2, FIRST_SEAL),
        (ROW, 1, bytes([1]) * 32),
    ]
    assert sealed == ROW.kept(1, FIRST_SEAL).seal
    assert len({sealed, *(seal_of(*other) for other in others)}) == len(others) + 1


def test_what_stands_for_an_object_does_not_depend_on_the_order_of_its_keys():
    assert canonical({"b": 1, "a": [1.0, None]}) == canonical({"a": [1.0, None], "b": 1})
    with pytest.raises(ValueError, match="JSON"):
        canonical({"a": float("nan")})
