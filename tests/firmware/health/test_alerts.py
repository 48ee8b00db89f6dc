import threading
from pathlib import Path

import pytest

from firmware.clock import HandClock, SystemClock
from firmware.health import record
from firmware.health.alerts import alert_of, watched, watcher_of
from firmware.health.condition import Condition, Severity, Subject
from firmware.health.stats import Stats
from firmware.live.hooks import Hooks
from firmware.live.loop import Loop
from firmware.live.state import first_state
from firmware.profiles.shelf import load_profile
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import Alert
from tests import views

APPLIANCE = {"STATE_DIRECTORY": "/var/lib/midgrey"}


def test_a_condition_becomes_a_line_with_a_tone():
    assert alert_of(None) is None
    hot = Condition(Subject.TEMPERATURE, Severity.WARNING, "hot", "air", "hot: give it air")
    assert alert_of(hot) == Alert("hot: give it air", Tone.PLAIN)
    full = Condition(Subject.CARD, Severity.ALARM, "full", "delete", "full: delete", name="FULL")
    assert alert_of(full) == Alert("full: delete", Tone.ALARM, "FULL")


class SilentFeed:
    def __init__(self, info):
        self.info = info

    def read(self, timeout_s):
        raise NotImplementedError

    def release(self, frame):
        pass

    def close(self):
        pass


class PaperBoard:
    def __init__(self):
        self.painted = []

    def actions(self):
        return []

    def paint(self, shown):
        self.painted.append(shown)

    def flip(self):
        pass


@pytest.fixture
def run(pi, info):
    """A loop on a cardboard board: turns it, and what its screen then says."""
    clock, hooks, board = HandClock(10**9), Hooks(), PaperBoard()
    feed = SilentFeed(info())
    state = first_state((load_profile("standard"),), feed.info, views.EXPOSE)
    loop = Loop(feed, state, board, clock, (), hooks)
    watcher = watcher_of(loop.stats, feed, clock, APPLIANCE, pi.root)
    hooks.alert = lambda: alert_of(watcher.worst)

    def turned(seconds=1):
        for _ in range(seconds):
            clock.move(1.0)
            watcher.step()
            loop.turn()
        shown = board.painted[-1].alert
        return None if shown is None else shown.words

    return turned


def test_the_line_comes_and_goes_with_the_heat_of_the_board(pi, run):
    assert run(6) is None
    pi.warm(81.3)
    assert run(6) == "board at 81 °C slows down: give it air and shade"
    pi.warm(85.6)
    assert run(6) == "board at 86 °C, its limit: give it air, or switch it off"
    pi.warm(66.0)
    assert run(20) is None


def test_the_line_comes_and_goes_with_the_supply_and_outlasts_a_dip(pi, run):
    assert run() is None
    pi.low_voltage(alarm=True)
    assert run().startswith("power supply too weak")
    pi.low_voltage(alarm=False)
    assert run(30).startswith("power supply was too weak")
    assert run(40) is None


def test_a_card_that_turns_read_only_is_said_one_by_choice_is_not(pi, run):
    assert run() is None
    pi.mounts("/dev/mmcblk0p2 / ext4 ro,noatime 0 0\n")
    assert run(6) == "card is read-only: restart, or take another card"
    pi.mounts(
        "overlay / overlay rw,lowerdir=/run/below,upperdir=/run/above/changes 0 0\n"
        "tmpfs /run/above tmpfs rw 0 0\n"
        "/dev/mmcblk0p3 /var/lib/midgrey ext4 rw 0 0\n"
    )
    assert run(20) is None


def test_the_service_leaves_what_it_found_in_its_folder(pi):
    # The folder is the process's own, not looked for under the root.
    folder = pi.root / "run/midgrey"
    folder.mkdir(parents=True)
    environ = {**APPLIANCE, "RUNTIME_DIRECTORY": str(folder)}
    clock = HandClock(10**9)
    watcher_of(Stats(), object(), clock, environ, pi.root).step()
    read = {each.subject: each for each in record.read(clock.now_ns(), pi.root)}
    assert read[Subject.POWER].severity is Severity.FINE
    assert read[Subject.CARD].where == "/var/lib/midgrey"


def test_beside_a_loop_it_runs_and_stops(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with watched(Stats(), object(), SystemClock(), {}) as alert:
        thread = next(each for each in threading.enumerate() if each.name == "health")
        assert alert() is None or isinstance(alert(), Alert)
    thread.join(20.0)
    assert not thread.is_alive()
    assert list(Path(tmp_path).iterdir()) == []
