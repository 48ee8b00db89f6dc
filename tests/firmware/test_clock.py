"""Two clocks, one contract; and nobody else reads time."""

import re

import pytest

from firmware.clock import HandClock, SystemClock, iso_utc, local_time, process_age_s
from tests.places import ROOT


@pytest.mark.parametrize("clock", [SystemClock(), HandClock(5)], ids=["system", "hand"])
def test_time_goes_on_and_never_back(clock):
    before, wall = clock.now_ns(), clock.wall_s()
    clock.sleep(0.001)
    assert clock.now_ns() >= before + 1_000_000
    assert clock.wall_s() >= wall
    clock.sleep(-1.0)
    assert clock.now_ns() >= before + 1_000_000


def test_a_clock_moved_by_hand_goes_exactly_so_far():
    clock = HandClock(100, wall_start_s=1_000.0)
    clock.move(2.5)
    assert clock.now_ns() == 100 + 2_500_000_000
    assert clock.wall_s() == 1_002.5


def test_only_the_clock_reads_time():
    asks = re.compile(r"\btime\.(time|monotonic|perf_counter|sleep)|datetime\.now|\bsleep\(")
    own = {"clock.py"}
    for package in ("firmware", "overlays"):
        for path in (ROOT / package).rglob("*.py"):
            if path.name not in own:
                found = [
                    m.group() for m in asks.finditer(path.read_text()) if m.group() != "sleep("
                ]
                assert not found, f"{path}: {found}"


def test_a_process_has_an_age_where_the_system_knows_it(tmp_path):
    age = process_age_s()
    assert age is None or 0.0 < age < 100_000.0
    assert process_age_s(tmp_path) is None


def test_times_of_day_are_written_out():
    assert iso_utc(1_700_000_000.25) == "2023-11-14T22:13:20.250+00:00"
    assert local_time(1_700_000_000.0).endswith(":13:20")
