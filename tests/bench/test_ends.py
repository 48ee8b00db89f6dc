"""How commands end is counted; the small part of it that is judged here is the damaged clip."""

import json
import sys
from pathlib import Path

import pytest

from tests.bench.ends import LATE_S, Ends, Run
from tests.running import process

SCRIPT = str(Path(__file__).parent / "ends.py")


def test_a_watch_on_a_damaged_clip_ends_when_it_has_reported():
    words = ("--json", "--runs", "2", "--files", "1", "--command", "watch")
    done = process(*words, start=[sys.executable, SCRIPT])
    assert done.returncode == 0, done.stdout + done.stderr
    made = json.loads(done.stdout)["watch"]
    assert made.pop("longest_s") < 5.0
    assert made == {"statuses": {"0": 2}, "late": 0, "other": 0}


@pytest.mark.parametrize(
    ("run", "is_late"),
    [
        (Run(0, LATE_S - 0.1), False),
        (Run(0, LATE_S + 0.1), True),
        (Run(0, LATE_S + 2.0, busy_s=0.1, waited_s=2.1), False),  # others had the processor
        (Run(0, LATE_S + 2.0, busy_s=0.1, waited_s=0.5), True),  # it hung
        (Run(None, 60.0, busy_s=0.0, waited_s=59.0), True),
    ],
)
def test_a_run_is_late_by_what_it_did_not_wait_for_a_processor(run, is_late):
    made = Ends()
    made.add(run, 0)
    assert (run.is_late, made.late) == (is_late, is_late)
