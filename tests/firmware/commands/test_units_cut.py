"""The network of a kit is cut for a whole minute, and its broker killed: marks come once each.

A unit in a process and a network of its own, a real Mosquitto, the waits that ship. Frames shown
with and without a kit are printed by `python -m tests.bench.kit_cut`.

Most of it is waiting. It is begun, in a process of its own, once the first tests have brought the
loops that it wants (see `conftest.py`), and goes on beside the other tests.
"""

import os
import sys
import time
from collections import Counter

import pytest

from tests.brokers import PASSWORDS, Broker, until
from tests.cut_minute import CutUnit
from tests.cut_network import HERE, cut_network
from tests.firmware.kit.conftest import Hearer
from tests.going_on import GoingOn
from tests.places import ROOT

BEGINS_LATER = True
CUT_S = 60.0
SMALL = "bench:size=320x180,rate=4,noise=0.5"
"""What is published and marked asks for no more pictures than this; the minute has other work."""
SETTLED_S = 2.0
"""What came twice would have come by then."""
BESIDE = "MIDGREY_TEST_BESIDE"
"""In the environment of the process that goes on beside the others."""


MINUTE = GoingOn(
    "cut-minute",
    [
        *("env", f"{BESIDE}=yes"),
        *(sys.executable, "-m", "pytest", "-q", "-n0", "-p", "no:cacheprovider", __file__),
    ],
    ROOT,
)


def begin(item):  # noqa: ARG001 - there is one
    """Begin the minute that the test will ask for; not within itself."""
    if BESIDE not in os.environ:
        MINUTE.begin()


@pytest.fixture
def network():
    with cut_network() as made:
        yield made


@pytest.fixture
def broker(tmp_path, network):  # noqa: ARG001 - its address is of that network
    made = Broker(tmp_path / "broker", PASSWORDS, tls=False, also_at=HERE)
    made.start()
    yield made
    made.kill()


def test_every_mark_of_a_cut_minute_and_of_a_killed_broker_arrives_once(request):
    if BESIDE in os.environ:
        cut_and_counted(*map(request.getfixturevalue, ("tmp_path", "network", "broker")))
        return
    status, said = MINUTE.ended(within_s=220.0)
    if " skipped" in said and status == 0:
        pytest.skip(said.strip()[-400:])
    assert status == 0, said[-4000:]
    assert "1 passed" in said


def cut_and_counted(tmp_path, network, broker):
    reader = Hearer(broker.settings("reader"), "record")
    unit = CutUnit(tmp_path / "unit", network, broker, feed=SMALL)
    unit.start()
    try:
        until(lambda: reader.unit("cam-a") and reader.unit("cam-a").is_fresh, 120.0)
        unit.mark_here()
        until(lambda: len(reader.marks) == 1)
        network.cut()
        end = time.monotonic() + CUT_S
        unit.mark()
        for _ in range(3):
            unit.mark_here()
        # The broker says by itself that the unit is cut off.
        until(lambda: reader.unit("cam-a").absence == "is cut off")
        assert len(reader.marks) == 1
        time.sleep(max(end - time.monotonic(), 0.0))
        assert unit.process.poll() is None
        network.mend()
        until(lambda: len(reader.marks) >= 5)
        until(lambda: reader.unit("cam-a").is_fresh)
        broker.kill()
        unit.mark_here()
        broker.start()
        unit.mark_here()
        until(lambda: len(reader.marks) >= 7)
        until(lambda: reader.unit("cam-a").is_fresh)
        time.sleep(SETTLED_S)
    finally:
        counted = unit.end()
        reader.close()
    assert Counter(each.number for each in reader.marks) == dict.fromkeys(range(1, 8), 1)
    assert len({each.id for each in reader.marks}) == 7
    # What the unit says of it stands in its log in single lines, and nothing failed.
    said = unit.said()
    assert "cannot be reached" in said
    assert "answers" in said
    assert "Traceback" not in said
    # A thread of the picture that had waited for the network would be named there too
    # (`live/oversight.py`; after eight seconds here, since others may use the machine).
    assert [line for line in said.splitlines() if line and "broker" not in line] == []
    assert counted["frames"]["shown"] > 0
