"""The cold start and the soak measure what they say; figures are for people, not for this test."""

import importlib
import json
import sys
from pathlib import Path

import pytest

from tests.places import ROOT
from tests.running import process

HERE = Path(__file__).parent


def run(script, *options):
    done = process("--json", *options, start=[sys.executable, str(HERE / script)])
    assert done.returncode == 0, done.stderr[-2000:]
    return json.loads(done.stdout)


def test_cold_start_is_counted_from_the_start_of_the_process():
    made = run("cold.py", "--rounds", "1", "--feed", "bench:size=640x360")
    assert made["first_frame_ms"] > made["imports_ms"] / 2.0 > 0.0


def test_a_soak_loses_no_count():
    made = run("soak.py", "--frames", "30", "--feed", "bench:rate=60,size=640x360")
    frames = made["frames"]
    assert frames["shown"] == 30
    assert frames["in"] >= frames["shown"]
    assert 0.0 < made["share_of_core"] < 5.0


def test_two_trees_are_compared_pair_by_pair():
    options = ("--pairs", "1", "--only", "help,first frame", "--feed", "bench:size=320x180")
    done = process(
        str(ROOT), str(ROOT), "--json", *options, start=[sys.executable, str(HERE / "two_trees.py")]
    )
    assert done.returncode == 0, done.stderr[-2000:]
    made = json.loads(done.stdout)
    for row in (*made["help"].values(), *made["first frame"].values()):
        assert row["old"] > 0.0
    assert made["help"]["peak_mb"]["ratio"] == pytest.approx(1.0, abs=0.1)  # it is one tree
    assert set(made["first frame"]) == {"wall_ms", "cpu_ms", "peak_mb", "first_frame_ms"}


def test_ratios_are_those_within_pairs(monkeypatch):
    monkeypatch.syspath_prepend(str(HERE))  # it is a script, and imports what lies beside it
    two_trees = importlib.import_module("two_trees")
    took = iter([9.0, 9.0, 10.0, 5.0, 30.0, 60.0, 8.0, 8.0])  # a machine that was busy for a while
    ran = []

    def scene(tree):
        ran.append(tree)
        return {"ms": next(took)}

    found = two_trees.compare("old", "new", scene, 3)
    # Each first in its turn; the first pair, in which kernels are compiled, does not count.
    assert ran == ["new", "old", "old", "new", "new", "old", "old", "new"]
    assert found.rows()["ms"] == {"old": 10.0, "new": 8.0, "ratio": 0.5, "low": 0.5, "high": 0.75}
