"""The benchmark itself: it checks results equal before it times, and prints what it promises."""

import json
import sys
from pathlib import Path

import pytest

from tests.running import process

SCRIPT = Path(__file__).with_name("frame.py")
KEYS = {"copy_ms", "census_ms", "frame_ms", "numpy_ms", "opencv_ms", "frame10_ms", "frame_uhd_ms"}
KEYS |= {"frame_two_ms", "frame10_two_ms", "frame_uhd_two_ms"}


def test_json_has_the_promised_keys_and_true_ratios():
    done = process("--json", "--rounds", "2", start=[sys.executable, str(SCRIPT)])
    assert done.returncode == 0, done.stderr[-2000:]
    result = json.loads(done.stdout)
    assert set(result) >= KEYS
    ratios = result["ratios"]
    # Both are printed rounded, as a copy of half a millisecond shows in a ratio of a hundred.
    told = result["frame_ms"] / result["copy_ms"]
    assert ratios["frame_in_copies"] == pytest.approx(told, rel=1e-3)
    assert result["machine"]
