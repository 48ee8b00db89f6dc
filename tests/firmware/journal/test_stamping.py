import pytest

from firmware.clock import HandClock
from firmware.journal import stamping
from firmware.journal.row import ClockTrust, Stamp
from firmware.journal.stamping import stamp_now
from firmware.system.time_of_day import STA_UNSYNC
from tests.marked import DAY_S


@pytest.mark.parametrize(
    ("status", "wall_s", "trust"),
    [
        (0, DAY_S, ClockTrust.SYNCHRONISED),
        (STA_UNSYNC, DAY_S, ClockTrust.UNSET),
        (0, 12.0, ClockTrust.UNSET),
    ],
)
def test_a_row_says_how_far_its_time_may_be_believed(monkeypatch, tmp_path, status, wall_s, trust):
    monkeypatch.setattr(stamping, "kernel_status", lambda: status)
    assert stamp_now(HandClock(7, wall_s), "boot", tmp_path) == Stamp("boot", 7, wall_s, trust)
