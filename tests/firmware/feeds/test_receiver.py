"""The thread that receives: what it counts, and that bytes of any kind do not end it."""

import random
import time
from types import SimpleNamespace

import pytest

from firmware.clock import HandClock, SystemClock
from firmware.feeds import receiver, stream
from firmware.feeds.address import parse_address
from firmware.feeds.base import FeedState
from firmware.feeds.receiver import Receiver
from overlays.signal.signal import SignalOverride
from tests.senders import Datagrams, free_port


@pytest.fixture(autouse=True)
def impatient(monkeypatch):
    monkeypatch.setattr(stream, "OPEN_S", 0.6)
    for module in (stream, receiver):
        monkeypatch.setattr(module, "READ_S", 0.5)
    monkeypatch.setattr(receiver, "BARREN_S", 1.0)


def received(port, seconds, until=lambda _receiver, _came: False):
    """A receiver after so many seconds at the most, and how many pictures it handed out."""
    found = Receiver(parse_address(f"udp://127.0.0.1:{port}"), SystemClock(), SignalOverride())
    found.start()
    came, end = 0, time.monotonic() + seconds
    while time.monotonic() < end and not until(found, came):
        came += found.newest.take(0.05) is not None
    began = time.monotonic()
    found.close()
    assert time.monotonic() - began < 2.0
    assert found.is_broken is None
    return found, came


@pytest.mark.parametrize("seed", range(3))
def test_bytes_that_were_changed_on_the_way_end_nothing(seed):
    dice = random.Random(seed)

    def change(_number, data):
        spoilt = bytearray(data)
        for _ in range(dice.choice((0, 0, 1, 3, 40))):
            spoilt[dice.randrange(len(spoilt))] = dice.randrange(256)
        cut = dice.randrange(len(spoilt)) if dice.random() < 0.1 else len(spoilt)
        return bytes(spoilt[:cut])

    port = free_port()
    with Datagrams(port, change):
        found, came = received(port, 1.5, lambda each, _: each.counts.broken > 20)
    assert came or found.counts.broken or found.counts.failures


def test_noise_instead_of_a_stream_is_no_stream_and_is_listened_to_again():
    dice = random.Random(7)
    port = free_port()
    with Datagrams(port, lambda _n, data: dice.randbytes(len(data))):
        found, came = received(port, 8.0, lambda each, _: each.counts.failures > 1)
    assert came == 0
    assert found.counts.failures > 1
    assert found.again.state is FeedState.CUT_OFF


def test_a_stream_without_a_whole_picture_is_opened_anew():
    """All keys are cut off after it has begun: what comes can never be read again."""
    port = free_port()
    with Datagrams(port, lambda n, data: data if n < 80 or n % 10 else b""):
        found, came = received(port, 6.0, lambda each, _: each.counts.silences > 0)
    assert came > 0
    assert found.counts.silences == 1


@pytest.mark.parametrize(("waited", "is_taken"), [(0.1, True), (0.8, True), (0.95, False)])
def test_what_was_left_of_long_ago_is_no_picture_of_now(monkeypatch, waited, is_taken):
    """A decoder's reader hands its rest out once nothing has followed for the longest silence."""
    clock, taken = HandClock(10**9), []
    found = Receiver(parse_address("udp://127.0.0.1:9"), clock, SignalOverride())
    monkeypatch.setattr(found, "_decode", lambda *_: taken.append(1))
    line = SimpleNamespace(index=0)

    def packets():
        clock.move(waited * stream.READ_S)
        yield SimpleNamespace(stream=line, size=10)

    found._framed_ns = clock.now_ns()
    found._receive(SimpleNamespace(packets=packets(), stream=line))
    assert len(taken) == is_taken
