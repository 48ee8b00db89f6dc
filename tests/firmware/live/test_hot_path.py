"""After warm-up a frame costs no memory: what is measured and painted with is used again."""

import gc
import tracemalloc

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.feeds.bench.feed import REMEMBERED
from firmware.feeds.opening import open_feed
from firmware.health.stats import Stats
from firmware.instruments.registry import REGISTRY
from firmware.live.measurer import Measurer
from firmware.live.orders import orders_of
from firmware.live.starting import starting_state
from firmware.opening.session import Session
from firmware.profiles.shelf import load_profile
from overlays.draw.picture.picture import PictureDrawer
from tests import views

SMALL_BYTES = 96 * 1024
"""Far below one row of anything of a picture's size times its rows: a 640x360 plane has 230 kB."""


@pytest.mark.parametrize("signal", ["uyvy", "nv12", "yuv422-10"])
def test_measuring_and_painting_allocate_nothing_of_a_frames_size(signal):
    clock = HandClock()
    feed = open_feed(f"bench:size=640x360,signal={signal}", clock=clock, pace=Pace.STEP)
    session = Session(feed, load_profile("standard"), is_guess=False)
    orders = orders_of(starting_state(session, views.EXPOSE), session.read_with())
    measurer, drawer = Measurer(clock, Stats(lambda: None), REGISTRY), PictureDrawer()
    target = np.zeros((360, 640), np.uint32)

    def one() -> None:
        frame = feed.read(1.0)
        measured = measurer.measure(frame, orders)
        drawer.draw(frame, measured.yard, (), target)
        measurer.give_back(measured.census)
        feed.release(frame)
        # The clock stands: spot and range, read a few times a second, are not due again.

    for _ in range(20):
        one()
    gc.collect()
    tracemalloc.start()
    # The bench fills its memory of the past, Python its lists of small things to use again: until
    # then a frame leaves a kilobyte or two behind, which is no leak.
    for _ in range(REMEMBERED + 20):
        one()
    before, _ = tracemalloc.get_traced_memory()
    most = 0
    for _ in range(60):
        tracemalloc.reset_peak()
        start, _ = tracemalloc.get_traced_memory()
        one()
        most = max(most, tracemalloc.get_traced_memory()[1] - start)
    after, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    feed.close()
    assert most < SMALL_BYTES
    assert after - before < SMALL_BYTES
