"""How commands end is counted; the small part of it that is judged here is the damaged clip."""

import json
import sys
from pathlib import Path

from tests.running import process

SCRIPT = str(Path(__file__).parent / "ends.py")


def test_a_watch_on_a_damaged_clip_ends_when_it_has_reported():
    words = ("--json", "--runs", "2", "--files", "1", "--command", "watch")
    done = process(*words, start=[sys.executable, SCRIPT])
    assert done.returncode == 0, done.stdout + done.stderr
    made = json.loads(done.stdout)["watch"]
    assert made.pop("longest_s") < 5.0
    assert made == {"statuses": {"0": 2}, "late": 0, "other": 0}
