import json

import pytest

from firmware.health.stats import KEPT, LOOKS_A_MINUTE, Series, Stats, resident_bytes


def test_a_series_knows_its_median_and_its_worst():
    series = Series()
    assert series.summary() == {"p50": None, "p99": None}
    for n in range(1, 102):
        series.add_ns(n * 1_000_000)
    assert series.summary() == {"p50": 51.0, "p99": 100.0}


def test_a_series_keeps_only_the_newest():
    series = Series()
    for _ in range(KEPT):
        series.add_ns(9_000_000)
    for _ in range(KEPT):
        series.add_ns(1_000_000)
    assert series.count == 2 * KEPT
    assert series.summary()["p99"] == 1.0


def test_the_median_of_the_newest_alone():
    series = Series()
    assert series.latest_s(5) is None
    for _ in range(KEPT):
        series.add_ns(900_000_000)
    for _ in range(5):
        series.add_ns(20_000_000)
    assert series.latest_s(5) == pytest.approx(0.02)
    assert series.latest_s(3 * KEPT) == pytest.approx(0.9)
    assert series.latest_s(0) is None


def test_memory_is_read_from_the_kernel(tmp_path):
    (tmp_path / "self").mkdir()
    (tmp_path / "self" / "statm").write_text("1000 250 30 4 0 500 0\n")
    assert resident_bytes(tmp_path) == 250 * 4096
    assert resident_bytes(tmp_path / "none") is None
    assert (resident_bytes() or 0) > 10_000_000


def test_the_last_minute_of_memory_stands_beside_the_first():
    looks = iter([100_000_000, 180_000_000] + [120_000_000] * LOOKS_A_MINUTE)
    stats = Stats(lambda: next(looks))
    for _ in range(2 + LOOKS_A_MINUTE):
        stats.note_memory()
    made = stats.as_object(2.0, 1.0)
    assert made["memory_mb"] == {"first_minute": 180.0, "last_minute": 120.0}


def test_drops_before_warm_up_are_told_apart():
    stats = Stats(lambda: None)
    stats.dropped_before_showing = 4
    stats.note_warm()
    stats.dropped_before_measuring = 1
    frames = stats.as_object(2.0, 1.0)["frames"]
    assert isinstance(frames, dict)
    assert (frames["dropped"], frames["dropped_after_warm_up"]) == (5, 1)


def test_what_is_written_is_plain_json_and_drops_add_up():
    stats = Stats(lambda: None)
    stats.frames_in, stats.dropped_before_measuring, stats.dropped_before_showing = 9, 2, 1
    stats.age.add_ns(5_000_000)
    made = json.loads(json.dumps(stats.as_object(2.0, 1.0)))
    assert made["frames"]["dropped"] == 3
    assert made["age_ms"]["p50"] == pytest.approx(5.0)
    assert made["memory_mb"]["first_minute"] is None
    assert set(made["stages_ms"]) == {"census", "spot", "range", "paint", "flip"}


def test_a_frame_that_is_shown_is_timed_from_its_capture_on():
    stats = Stats()
    stats.note_shown(1_000_000, 3_000_000, 4_000_000, 500_000)
    assert stats.stages["paint"].summary()["p50"] == 2.0
    assert stats.stages["flip"].summary()["p50"] == 1.0
    assert stats.age.summary()["p50"] == 3.5
