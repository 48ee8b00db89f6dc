"""What is claimed of the unit: by its log, its service, its own figures."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.health.stats import Stats
from firmware.selftest.found import RowOutcome
from firmware.selftest.step import AtHand, Ran
from firmware.selftest.unit_looks import (
    look_at_driver,
    look_at_graph,
    look_at_health,
    look_at_pace,
    look_at_panel,
    look_at_start,
)
from tests.firmware.selftest.conftest import frame

PLANE = np.full((6, 8), 99, np.uint8)


def told(**answers):
    """Programs that answer so; others are not there."""

    def run(words, _most_s):
        said = answers.get(words[0].replace("-", "_"))
        return Ran(None, "no such file or directory") if said is None else Ran(0, said)

    return run


def screened(tmp_path):
    """A machine with a screen at its first connector (Documentation/gpu/drm-kms.rst, sysfs)."""
    connector = tmp_path / "sys/class/drm/card1-HDMI-A-1"
    connector.mkdir(parents=True)
    (connector / "status").write_text("connected\n")
    return AtHand(None, HandClock(), root=tmp_path)


@pytest.mark.parametrize(
    ("log", "outcome"),
    [
        ("drawing by kmsdrm\n", RowOutcome.AS_EXPECTED),
        ("SDL chose offscreen\n", RowOutcome.OTHERWISE),
        ("", RowOutcome.OPEN),
        (None, RowOutcome.OPEN),
    ],
)
def test_the_driver_is_judged_by_the_unit_s_log(tmp_path, log, outcome):
    around = replace(screened(tmp_path), run=told(journalctl=log))
    assert look_at_driver(around).outcome is outcome


def test_without_a_screen_no_driver_is_right(tmp_path):
    assert look_at_driver(AtHand(None, HandClock(), root=tmp_path)).outcome is RowOutcome.CANNOT


def test_a_program_that_answers_at_once_is_given_ten_seconds(tmp_path):
    given = []

    def run(_words, most_s):
        given.append(most_s)
        return Ran(None, "")

    around = replace(screened(tmp_path), run=run)
    look_at_driver(around)
    look_at_start(around)
    assert given == [10.0, 10.0]


SHOWN = "ExecMainStartTimestampMonotonic={}\nActiveEnterTimestampMonotonic={}\n"


@pytest.mark.parametrize(
    ("began", "active", "outcome", "seconds"),
    [
        (5_000_000, 7_300_000, RowOutcome.AS_EXPECTED, 2.3),
        (5_000_000, 9_000_000, RowOutcome.OTHERWISE, 4.0),
        (0, 0, RowOutcome.CANNOT, None),
        ("", "n/a", RowOutcome.CANNOT, None),
    ],
)
def test_the_start_is_what_systemd_says(began, active, outcome, seconds):
    run = told(systemctl=SHOWN.format(began, active))
    found = look_at_start(AtHand(None, HandClock(), run=run))
    assert found.outcome is outcome
    if seconds is not None:
        assert found.figures[0].value == seconds
        assert found.figures[1].value is None


def running(lost=0, age=60.0, writes=True):
    """A run that writes these figures as a run writes them."""
    stats = Stats()
    stats.frames_in, stats.dropped_before_measuring = 260, lost
    if age is not None:
        stats.note_shown(0, 0, round(age * 1e6), 0)

    def run(words, _most_s):
        if writes:
            path = Path(words[words.index("--stats") + 1])
            path.write_text(json.dumps(stats.as_object(10.0, 5.0)))
        return Ran(0 if writes else 2, "midgrey: the device is held\n")

    return run


@pytest.mark.parametrize(
    ("given", "rate", "outcome"),
    [
        ({}, 25.0, RowOutcome.AS_EXPECTED),
        ({"age": 81.0}, 25.0, RowOutcome.OTHERWISE),
        ({"lost": 1}, 25.0, RowOutcome.OTHERWISE),
        ({"age": None}, 25.0, RowOutcome.OPEN),
        ({}, 0.0, RowOutcome.OPEN),
        ({"writes": False}, 25.0, RowOutcome.CANNOT),
    ],
)
def test_pace_is_what_a_run_counted(around, feeding, given, rate, outcome):
    feeding(frame(PLANE, PLANE, PLANE), rate=rate)
    found = look_at_pace(replace(around, run=running(**given)))
    assert found.outcome is outcome
    if outcome is not RowOutcome.CANNOT:
        assert [each.value for each in found.figures] == [
            "a mode",
            260,
            given.get("lost", 0),
            given.get("age", 60.0),
        ]
    if not given.get("writes", True):
        assert "the device is held" in found.words


LINK = '\t\t-> "rp1-cfe-csi2_ch0":0 [{}]\n'


@pytest.mark.parametrize(
    ("board", "said", "outcome"),
    [
        ("Raspberry Pi 5 Model B Rev 1.0", LINK.format("ENABLED"), RowOutcome.AS_EXPECTED),
        ("Raspberry Pi 5 Model B Rev 1.0", LINK.format(""), RowOutcome.OTHERWISE),
        ("Raspberry Pi 5 Model B Rev 1.0", None, RowOutcome.CANNOT),
        ("Raspberry Pi 4 Model B Rev 1.4", LINK.format("ENABLED"), RowOutcome.CANNOT),
    ],
)
def test_the_graph_of_a_pi_5(tmp_path, around, feeding, board, said, outcome):
    feeding(frame(PLANE, PLANE, PLANE))
    tree = tmp_path / "proc/device-tree"
    tree.mkdir(parents=True)
    (tree / "model").write_bytes(board.encode() + b"\0")
    found = look_at_graph(replace(around, root=tmp_path, run=told(media_ctl=said)))
    assert found.outcome is outcome


def test_no_panel_is_claimed_where_none_is_drawn_on(tmp_path):
    assert look_at_panel(screened(tmp_path)).outcome is RowOutcome.CANNOT


def test_health_is_written_down_and_decides_nothing(tmp_path):
    assert look_at_health(AtHand(None, HandClock(), root=tmp_path)).outcome is RowOutcome.CANNOT
    zone = tmp_path / "sys/class/thermal/thermal_zone0"
    zone.mkdir(parents=True)
    (zone / "temp").write_text("51234\n")
    (zone / "type").write_text("cpu-thermal\n")
    found = look_at_health(AtHand(None, HandClock(), root=tmp_path))
    assert found.outcome is RowOutcome.OPEN
    assert found.figures[0].value == pytest.approx(51.234)
