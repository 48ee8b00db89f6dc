"""What the service manager is told; with really hung threads it is tested in test_frozen."""

import pytest

from firmware.clock import HandClock
from firmware.feeds.base import FeedState
from firmware.live.freshness import Freshness
from firmware.live.oversight import Oversight, overseen
from firmware.system.compiling import Compiling
from firmware.system.stages import QUIET_NS, Stages
from overlays.draw.moment.shown import Face

LIVE = Freshness(Face.LIVE, "")


class Ears:
    """What the service manager hears."""

    def __init__(self):
        self.fed, self.said, self.extended = 0, [], 0

    def alive(self):
        self.fed += 1

    def still_starting(self):
        self.extended += 1

    def status(self, sentence):
        if not self.said or self.said[-1] != sentence:
            self.said.append(sentence)


@pytest.fixture
def made():
    clock, ears, compiling, stages = HandClock(10**9), Ears(), Compiling(), Stages()
    log: list[str] = []
    oversight = Oversight(stages, ears, compiling, clock, log.append)
    oversight.seen = LIVE
    for stage in (stages.capture, stages.measuring, stages.drawing):
        stage.beat(clock.now_ns())

    def fed(seconds, *beating):
        before = ears.fed
        for _ in range(round(seconds / 0.1)):
            clock.move(0.1)
            for name in beating:
                getattr(stages, name).beat(clock.now_ns())
            oversight.step()
        return ears.fed - before

    return fed, ears, compiling, oversight, log


def test_it_feeds_while_all_beat_and_no_longer(made):
    fed, ears, _, _, log = made
    assert fed(5.0, "capture", "measuring", "drawing") == 50
    assert (ears.said, log) == (["live"], [])
    assert fed(5.0, "capture", "drawing") == QUIET_NS // 10**8
    assert ears.said[1:] == log == ["stalled: measuring has not ended a turn"]
    assert fed(1.0, "capture", "measuring", "drawing") == 10
    assert ears.said[-1] == "live"
    assert log[1:] == ["frames pass again after a stall (live)"]


def test_it_feeds_by_progress_while_kernels_are_made(made):
    fed, ears, compiling, _, _ = made
    assert fed(1.0, "capture", "drawing") == QUIET_NS // 10**8
    compiling.one_more()  # a kernel is begun
    assert fed(20.0) == 200
    assert ears.extended == 200
    assert fed(270.0) == 2700  # a slow core's longest step
    compiling.one_done()
    assert fed(1.0) == 10
    assert fed(10.0) <= 11  # nothing moves any longer: it hangs


def test_while_kernels_are_made_for_the_first_picture_the_status_says_so(made):
    fed, ears, compiling, oversight, _ = made
    oversight.seen = Freshness(Face.STARTING, "first start: 2 of about 110 parts")
    compiling.one_more()
    fed(60.0)
    assert ears.said == ["starting: first start: 2 of about 110 parts"]
    fed(300.0)
    assert ears.said[-1].startswith("stalled: ")


def test_a_lost_signal_is_no_reason_to_be_bitten(made):
    fed, ears, _, oversight, _ = made
    oversight.seen = Freshness(Face.LOST, FeedState.UNPLUGGED.value)
    assert fed(60.0, "capture", "measuring", "drawing") == 600
    assert ears.said == ["no signal: nothing plugged in"]


def test_it_looks_for_as_long_as_it_is_asked_to(made):
    _, ears, _, oversight, _ = made
    with overseen(oversight):
        pass
    assert oversight._worker.fault is None
    assert ears.said in ([], ["live"])
