import pytest

from firmware.clock import FIRST_DAY_S
from firmware.system.time_of_day import (
    RTC,
    STA_UNSYNC,
    SYNCHRONISED,
    TimeSource,
    boot_name,
    kernel_status,
    time_source,
)

NOW = FIRST_DAY_S + 1e6


def rtc(root, *, set_by="1", since=NOW):
    clock = root / RTC / "rtc0"
    clock.mkdir(parents=True)
    (clock / "hctosys").write_text(f"{set_by}\n")
    (clock / "since_epoch").write_text(f"{round(since)}\n")


@pytest.mark.parametrize("status", [0, 0x0001, None, STA_UNSYNC])
def test_before_the_first_day_no_clock_is_believed(tmp_path, status):
    assert time_source(FIRST_DAY_S - 1, status, tmp_path) is TimeSource.NONE


def test_the_kernel_or_systemd_says_that_it_was_set_by_another(tmp_path):
    assert time_source(NOW, 0, tmp_path) is TimeSource.SYNCHRONISED
    assert time_source(NOW, STA_UNSYNC, tmp_path) is TimeSource.NONE
    assert time_source(NOW, None, tmp_path) is TimeSource.NONE
    (tmp_path / SYNCHRONISED).parent.mkdir(parents=True)
    (tmp_path / SYNCHRONISED).touch()
    assert time_source(NOW, STA_UNSYNC, tmp_path) is TimeSource.SYNCHRONISED


def test_a_clock_that_goes_on_without_power_counts_where_the_kernel_was_set_by_it(tmp_path):
    rtc(tmp_path)
    assert time_source(NOW, STA_UNSYNC, tmp_path) is TimeSource.OWN


@pytest.mark.parametrize("how", [{"set_by": "0"}, {"since": 1000.0}])
def test_one_without_a_battery_or_that_was_not_asked_does_not(tmp_path, how):
    rtc(tmp_path, **how)
    assert time_source(NOW, STA_UNSYNC, tmp_path) is TimeSource.NONE


def test_the_kernel_answers_with_flags_of_its_own():
    # STA_RONOSYNC and above are reserved; adjtimex(2) lists flags up to 0x8000.
    status = kernel_status()
    assert status is None or 0 <= status <= 0xFFFF


def test_a_run_of_the_machine_has_one_name(tmp_path):
    assert boot_name() == boot_name()
    assert boot_name(tmp_path).startswith("process ")
