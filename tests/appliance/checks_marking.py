"""Marks and what was set, while the power goes."""

import random
import subprocess
import sys
import time
from pathlib import Path

from checks_screen import start_service, until_live
from machine import Machine, MachineError

ROOT = Path(__file__).resolve().parents[2]
STATE = "/var/lib/midgrey"
JOURNAL = f"{STATE}/journal.db"
SETTINGS = f"{STATE}/settings.json"
MIDGREY = "/opt/midgrey/current/bin/midgrey"
MARK_KEY, PIN_KEY = "m", "n"
EVERY_S = 1.0
FIRST_S = 60.0
"""Longest until the first mark of a boot is on the card: kernels are loaded for it."""

LAST = f"""
import sqlite3
try:
    file = sqlite3.connect("file:{JOURNAL}?mode=ro", uri=True, timeout=10.0)
    last = "SELECT coalesce(max(number), 0) FROM rows WHERE kind = 'mark'"
    answer = file.execute(last).fetchone()[0]
    file.close()
except sqlite3.OperationalError:
    answer = 0  # not there yet, or not set up
"""
"""The last mark that somebody else can read: it was committed, or it would not be seen."""

# Not read-only: what the cut left half done is taken back by whoever opens the file next.
WHOLE = f"""
import sqlite3
file = sqlite3.connect("file:{JOURNAL}?mode=rw", uri=True, timeout=10.0)
whole = [row[0] for row in file.execute("PRAGMA integrity_check")]
numbers = [row[0] for row in file.execute("SELECT number FROM rows ORDER BY number")]
last = file.execute("SELECT number FROM last").fetchone()[0]
marks = file.execute("SELECT count(*) FROM rows WHERE kind = 'mark'").fetchone()[0]
file.close()
answer = [whole, numbers == list(range(1, last + 1)), marks, last]
"""


def cuts_while_marking(machine: Machine, folder: Path, times: int, seed: int = 3) -> str:
    """Cut the power while marks are made once a second: all that could be read are still there.

    A mark counts as acknowledged when another process reads it. What was set before (spot and a pin
    by hand) comes back by itself after each boot. In the end the journal is verified on this side,
    then by the unit itself; what the cuts gave stands in the log before that.
    """
    moments = random.Random(seed)
    start_service(machine)
    machine.key("left", "left", "up", PIN_KEY)
    machine.until("settings on the card", lambda: b'"by_hand": true' in _settings(machine), 90.0)
    settings, known, spans = _settings(machine), 0, []
    for number in range(1, times + 1):
        known = _marked_until(machine, known, moments.uniform(2.0, 9.0))
        time.sleep(moments.uniform(0.0, 1.0))
        machine.cut()
        machine.start()
        spans.append(machine.until_answering())
        whole, in_order, marks, last = machine.python(WHOLE)
        assert whole == ["ok"], f"damaged by cut {number}: {whole}"
        assert in_order, f"rows are missing after cut {number}"
        assert last >= known, f"{known} acknowledged, {last} there after cut {number}"
        until_live(machine, 180.0, 0.3)
        assert _settings(machine) == settings, f"set otherwise after cut {number}"
    figures = (
        f"{times} cuts, boots of {min(spans):.0f} to {max(spans):.0f} s, {marks} marks there of "
        f"{known} acknowledged before the last cut"
    )
    print(figures, flush=True)
    return f"{figures}; {_verified(machine, folder)}"


def _verified(machine: Machine, folder: Path) -> str:
    """What this side and the unit say of the journal: a fault of either's processor is told so."""
    verify = ("journal", "verify", "--journal")
    words = [sys.executable, "-m", "firmware", *verify, str(journal_of(machine, folder))]
    here = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=False)
    print(f"verified on this side: {here.stdout}{here.stderr}", flush=True)
    assert here.returncode == 0, here.stdout + here.stderr
    command = f"PYTHONFAULTHANDLER=1 {MIDGREY} {' '.join(verify)} {JOURNAL}"
    return machine.check(command, 300.0).strip().splitlines()[-1]


def _settings(machine: Machine) -> bytes:
    there = machine.run(f"test -e {SETTINGS}").status == 0
    return machine.get(SETTINGS) if there else b""


def _marked_until(machine: Machine, known: int, seconds: float) -> int:
    """Press the key once a second, for so long after the first mark is there; the last that is."""
    start, end, last = time.monotonic(), None, known
    while end is None or time.monotonic() < end:
        turn = time.monotonic()
        machine.key(MARK_KEY)
        last = int(str(machine.python(LAST)))
        if last > known and end is None:
            end = time.monotonic() + seconds
        if end is None and turn - start > FIRST_S * machine.slower:
            raise MachineError("no mark on the card by its key")
        time.sleep(max(0.0, EVERY_S - (time.monotonic() - turn)))
    return last


def journal_of(machine: Machine, folder: Path) -> Path:
    """The journal as it lies on the card, on this side."""
    path = folder / "journal.db"
    path.write_bytes(machine.get(JOURNAL))
    return path
