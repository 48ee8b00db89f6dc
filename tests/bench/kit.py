"""A hundred simulated units at one broker: how late their readings are, and what is lost.

    python -m tests.bench.kit [--units 100] [--seconds 20] [--rate 5]
        [--broker HOST:PORT --authority FILE]

Each unit is a connection of its own with the payload of a unit that has three pins, made anew for
each reading; they share two processes, and one listener hears all. A mark a second and unit goes at
QoS 1 besides. Lags are from the moment before a reading is made to its arrival, on one clock, since
all run on one machine. The broker is a Mosquitto of its own with the settings that midgrey ships,
without encryption, or one that is named, over TLS: it knows the units by the password below.
Nothing is asserted: what is printed holds for the machine it was printed on.
"""

import argparse
import json
import multiprocessing
import os
import tempfile
import time
from collections import Counter
from dataclasses import replace
from multiprocessing.queues import Queue
from pathlib import Path
from typing import Any

from firmware.clock import SystemClock
from firmware.kit.line import BrokerLine, Hears, Role
from firmware.kit.settings import KitSettings, Wire
from firmware.kit.topics import QOS, Topic, packed, topic_of
from tests.brokers import Broker
from tests.kit_messages import mark, pin, presence, reading

PROCESSES = 2
SETTLES_S = 3.0
SECRET = "the same for all of a bench"


class SimulatedUnit:
    """One connection, and what it has said."""

    def __init__(self, settings: KitSettings) -> None:
        self.name, self.numbers, self.marks, self.acknowledged = settings.unit, 0, 0, 0
        will = topic_of(self.name, Topic.PRESENCE), packed(presence(self.name, online=False))
        hears = Hears(lambda *_: None, sent=self._sent)
        self.line = BrokerLine(settings, Role(f"unit-{self.name}", (), will), hears, SystemClock())
        self.waiting: set[int] = set()

    def _sent(self, number: int, is_taken: bool) -> None:
        if number in self.waiting and is_taken:
            self.waiting.discard(number)
            self.acknowledged += 1

    def say(self) -> None:
        at_s = time.monotonic()
        pins = tuple(pin(n) for n in (1, 2, 3))
        self.numbers += 1
        made = reading(self.name, self.numbers, at_s, pins=pins, warnings=())
        topic = topic_of(self.name, Topic.READING)
        self.line.publish(topic, packed(made), qos=0, retain=True)

    def mark(self) -> None:
        self.marks += 1
        made = mark(self.name, id=os.urandom(32).hex(), number=self.marks)
        topic = topic_of(self.name, Topic.MARK)
        sent = self.line.publish(topic, packed(made), qos=QOS[Topic.MARK], retain=False)
        if sent:
            self.waiting.add(sent)


def play(
    settings: list[KitSettings], rate: float, seconds: float, told: "Queue[tuple[int, int, int]]"
) -> None:
    """Let some units speak for so long, each at its own moment of the fifth of a second."""
    units = [SimulatedUnit(each) for each in settings]
    while not all(each.line.is_up for each in units):
        for each in units:
            each.line.turn(0.0)
    time.sleep(SETTLES_S)
    start = time.monotonic()
    due = [start + n / len(units) / rate for n in range(len(units))]
    marks = [start + n / len(units) for n in range(len(units))]
    end = start + seconds
    while (now := time.monotonic()) < end:
        for n, unit in enumerate(units):
            if now >= due[n]:
                due[n] += 1.0 / rate
                unit.say()
            if now >= marks[n]:
                marks[n] += 1.0
                unit.mark()
        # One look a unit and hundredth of a second: acknowledgements and pings.
        for unit in units[int(now * 100) % 4 :: 4]:
            unit.line.turn(0.0)
        time.sleep(0.002)
    over = time.monotonic() + 5.0
    while any(each.waiting for each in units) and time.monotonic() < over:
        for unit in units:
            unit.line.turn(0.0)
    told.put(
        (
            sum(each.numbers for each in units),
            sum(each.marks for each in units),
            sum(each.acknowledged for each in units),
        )
    )
    for each in units:
        each.line.leave()


def main() -> None:
    """Print lag and loss."""
    asked = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    asked.add_argument("--units", type=int, default=100)
    asked.add_argument("--seconds", type=float, default=20.0)
    asked.add_argument("--rate", type=float, default=5.0)
    asked.add_argument("--broker", default="", metavar="HOST:PORT")
    asked.add_argument("--authority", type=Path)
    given = asked.parse_args()
    names = [f"cam-{n}" for n in range(1, given.units + 1)]
    if given.broker:
        host, _, port = given.broker.rpartition(":")
        there = KitSettings("", host, int(port), SECRET, Wire.TLS, given.authority)
        measure(there, names, given.rate, given.seconds)
        return
    with tempfile.TemporaryDirectory() as folder:
        passwords = dict.fromkeys([*names, "reader"], SECRET)
        broker = Broker(Path(folder) / "broker", passwords, tls=False)
        broker.start()
        try:
            there = KitSettings("", "127.0.0.1", broker.port, SECRET, Wire.PLAIN)
            measure(there, names, given.rate, given.seconds)
        finally:
            broker.kill()


def measure(there: KitSettings, names: list[str], rate: float, seconds: float) -> None:
    """Let all speak, hear all, and print what came of it."""
    lags: list[float] = []
    marks: Counter[str] = Counter()

    ours = {topic_of(name, each) for name in names for each in (Topic.READING, Topic.MARK)}

    def take(topic: str, payload: bytes, is_kept: bool) -> None:
        if topic not in ours:
            return  # another unit at the same broker: it has a clock of its own, and never ends
        found: dict[str, Any] = json.loads(payload)
        if topic.endswith(Topic.MARK.value):
            marks[found["id"]] += 1
        elif not is_kept:
            lags.append(time.monotonic() - found["at_s"])

    def settings(unit: str) -> KitSettings:
        return replace(there, unit=unit)

    topics = [(f"midgrey/1/+/{each.value}", QOS[each]) for each in (Topic.READING, Topic.MARK)]
    line = BrokerLine(settings("reader"), Role("", topics), Hears(take), SystemClock())
    while not line.is_up:
        line.turn(0.1)
    context = multiprocessing.get_context("spawn")
    told: Queue[tuple[int, int, int]] = context.Queue()
    players = [
        context.Process(
            target=play,
            args=([settings(each) for each in names[n::PROCESSES]], rate, seconds, told),
        )
        for n in range(PROCESSES)
    ]
    for each in players:
        each.start()
    quiet = time.monotonic()
    count = 0
    while any(each.is_alive() for each in players) or time.monotonic() - quiet < 2.0:
        line.turn(0.05)
        if len(lags) != count:
            count, quiet = len(lags), time.monotonic()
    totals = [told.get(timeout=5.0) for _ in players]
    said, marked, acknowledged = (sum(column) for column in zip(*totals, strict=True))
    lags.sort()
    print(f"{len(names)} units, {said} readings in {seconds:g} s ({said / seconds:.0f} a second)")
    middle, late = (1000.0 * lags[int(len(lags) * share)] for share in (0.5, 0.99))
    print(f"lag: median {middle:.1f} ms, p99 {late:.1f} ms, most {1000.0 * lags[-1]:.1f} ms")
    print(f"readings that did not arrive (QoS 0): {said - len(lags)}")
    twice = sum(count - 1 for count in marks.values())
    print(
        f"marks (QoS 1): {marked} made, {acknowledged} acknowledged, {len(marks)} arrived, "
        f"{marked - len(marks)} lost, {twice} twice; load {os.getloadavg()[0]:.1f}"
    )


if __name__ == "__main__":
    main()
